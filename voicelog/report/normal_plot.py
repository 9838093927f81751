"""The child's normal as a picture: days with their usual band, the chart, and the hours."""

from datetime import date
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.dates import date2num
from matplotlib.figure import Figure

from voicelog.baseline.runlength import Floats
from voicelog.baseline.view import View
from voicelog.errors import VoicelogError

_BLUE, _RED, _GREY = "#1f5a92", "#b3261e", "#8a8a8a"


class UnknownPictureError(VoicelogError, ValueError):
    """A file name that says no kind of picture we make."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"'{path.name}' is no picture name: end it with .png or .svg.")


def draw_normal(view: View, last: int = 90) -> Figure:
    """Return a figure of the last days; it shows the learning period too."""
    figure = Figure(figsize=(9, 8), layout="constrained")
    days, chart, hours = figure.subplots(3, 1)
    _draw_days(days, view, last)
    _draw_chart(chart, view, last)
    _draw_hours(hours, view)
    return figure


def save_picture(figure: Figure, path: Path) -> None:
    """Write a figure as PNG or SVG, the same bytes each time.

    Raises:
        UnknownPictureError: the file name ends otherwise.

    """
    kind = path.suffix.lower().lstrip(".")
    if kind not in ("png", "svg"):
        raise UnknownPictureError(path)
    metadata = {"Date": None} if kind == "svg" else {"Software": "voicelog"}
    with mpl.rc_context({"svg.hashsalt": "voicelog"}):
        figure.savefig(path, format=kind, dpi=120, metadata=metadata)


def _dates(axes: Axes, ordinals: list[int]) -> Floats:
    axes.xaxis_date()
    moments = [date.fromordinal(o) for o in ordinals]
    return np.asarray(date2num(moments))  # type: ignore[no-untyped-call]


def _draw_days(axes: Axes, view: View, last: int) -> None:
    steps = view.learner.steps[-last:]
    when = _dates(axes, [s.day for s in steps])
    whole = np.array([s.exposure >= 0.9 for s in steps], dtype=bool)
    counts = np.array([s.n for s in steps], dtype=float)
    colours = [_BLUE if ok else "#c9d6e2" for ok in whole]
    axes.bar(when, counts, color=colours, width=0.8)
    usual = view.normal.per_day
    if usual is not None:
        axes.axhspan(usual.low, usual.high, color=_GREY, alpha=0.25, label="usual")
        axes.legend(loc="upper left", frameon=False)
    for step in steps:
        if step.rise_new or step.fall_new:
            mark = "more" if step.rise_new else "less"
            at = _dates(axes, [step.day])[0]
            axes.annotate(mark, (at, step.n), color=_RED, ha="center", va="bottom")
    for step in steps:
        if view.learner.tags(date.fromordinal(step.day)):
            at = _dates(axes, [step.day])[0]
            axes.axvspan(at - 0.5, at + 0.5, color="#f2c14e", alpha=0.3)
    axes.set_title("Procedures a day (pale: not all logged; yellow: tagged)", loc="left")
    axes.set_ylim(bottom=0)


def _draw_chart(axes: Axes, view: View, last: int) -> None:
    steps = view.learner.steps[-last:]
    when = _dates(axes, [s.day for s in steps])
    for name, colour, sign in (("rise", _RED, 1.0), ("fall", _BLUE, -1.0)):
        value = np.array([getattr(s, name) for s in steps], dtype=float)
        limit = np.array([getattr(s, f"{name}_h") for s in steps], dtype=float)
        limit[~np.isfinite(limit)] = np.nan
        axes.plot(when, sign * value, color=colour, label=name)
        axes.plot(when, sign * limit, color=colour, linestyle="--", linewidth=0.8)
    axes.axhline(0, color=_GREY, linewidth=0.8)
    axes.set_title("Evidence for a change (dashed: signal)", loc="left")


def _draw_hours(axes: Axes, view: View) -> None:
    axes.set_title("Usual procedures in each hour, with 95 % intervals", loc="left")
    axes.set_xlim(-0.6, 23.6)
    axes.set_xlabel("hour of day")
    rates = view.normal.by_hour
    if not rates:
        return
    value = np.array([r.value for r in rates])
    below = value - np.array([r.low for r in rates])
    above = np.array([r.high for r in rates]) - value
    axes.bar(np.arange(24), value, color=_BLUE, yerr=[below, above], ecolor=_GREY, width=0.8)
