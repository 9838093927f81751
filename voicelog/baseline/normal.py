"""What is usual for this child, in numbers with their ranges."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from voicelog.baseline.count_chart import CountChart
from voicelog.baseline.history import History
from voicelog.baseline.intervals import Range, count_range, garwood, share, spread_of
from voicelog.baseline.runlength import Floats
from voicelog.baseline.settings import Settings

Mask = NDArray[np.bool_]

MEASURED = (
    "passes",
    "colour",
    "thickness",
    "amount",
    "depth_cm",
    "pressure_mmhg",
    "pass_seconds",
    "spo2",
)
MORNING = ("colour", "thickness")
WINDOW = 365  # ordinary days looked back
ENOUGH = 10  # values before a measure is called known


@dataclass(frozen=True)
class Normal:
    """The child's normal; what is not yet known is None or missing.

    Args:
        days: ordinary days learned from.
        needed: ordinary days before the normal is stated.
        per_day: middle 80 % of procedures in a day to come.
        rate: mean procedures a day, Garwood interval.
        by_hour: procedures an hour in each local hour, Garwood intervals.
        bands: the same for parts of the day, procedures a day.
        measured: middle 80 % of each measure outside the morning hours.
        morning: the same for colour and thickness in the first hours after waking.
        saline: share of procedures with saline; ``drops`` when used.
        foul: share with a foul smell, of those where the smell was told.
        fluid_ml: middle 80 % of a day's drinks and feeds.

    """

    days: int
    needed: int
    per_day: Range | None = None
    rate: Range | None = None
    by_hour: tuple[Range, ...] = ()
    bands: Mapping[str, Range] = field(default_factory=dict)
    measured: Mapping[str, Range] = field(default_factory=dict)
    morning: Mapping[str, Range] = field(default_factory=dict)
    saline: Range | None = None
    drops: Range | None = None
    foul: Range | None = None
    fluid_ml: Range | None = None

    @property
    def known(self) -> bool:
        """True after the learning period."""
        return self.per_day is not None


def learn(history: History, ordinary: Mask, chart: CountChart, settings: Settings) -> Normal:
    """Return the normal from the ordinary days, shape ``(settled days,)`` from the first day."""
    chosen = np.flatnonzero(ordinary)[-WINDOW:]
    if chart.fitted is None or not len(chosen):
        return Normal(len(chart.pool), settings.learning_days)
    counts, hours = history.by_hour[chosen], history.hours[chosen]
    teach = np.zeros(len(ordinary), dtype=bool)
    teach[chosen] = True
    rows = _rows_of(history.procedures.column("day"), history.first_day, teach)
    column = {name: history.procedures.column(name)[rows] for name in (*MEASURED, "hour")}
    morning = (column["hour"] - settings.wake_hour) % 24 < settings.morning_hours
    used = history.procedures.column("saline")[rows]
    drops = history.procedures.column("saline_drops")[rows]
    foul = history.procedures.column("foul")[rows]
    foul = foul[~np.isnan(foul)]
    return Normal(
        days=len(chosen),
        needed=settings.learning_days,
        per_day=count_range(chart.fitted, chart.pool.doubt),
        rate=garwood(float(counts.sum()), float(hours.sum()) / 24),
        by_hour=tuple(
            garwood(float(c), max(float(h), 1e-9))
            for c, h in zip(counts.sum(axis=0), hours.sum(axis=0), strict=True)
        ),
        bands=_bands(counts.sum(axis=0), hours.sum(axis=0), settings),
        measured=_ranges({name: column[name][~morning] for name in MEASURED}),
        morning=_ranges({name: column[name][morning] for name in MORNING}),
        saline=share(int(used.sum()), len(used)) if len(used) >= ENOUGH else None,
        drops=spread_of(drops[drops > 0]),
        foul=share(int(foul.sum()), len(foul)) if len(foul) >= ENOUGH else None,
        fluid_ml=_fluids(history, teach),
    )


def _rows_of(days: Floats, first_day: int, teach: Mask) -> Mask:
    at = days.astype(int) - first_day
    inside = (at >= 0) & (at < len(teach))
    return inside & teach[np.where(inside, at, 0)]


def _ranges(columns: Mapping[str, Floats]) -> dict[str, Range]:
    found = {name: spread_of(values) for name, values in columns.items()}
    return {name: r for name, r in found.items() if r is not None and r.n >= ENOUGH}


def _bands(counts: Floats, hours: Floats, settings: Settings) -> dict[str, Range]:
    """Morning, afternoon, evening and night, by the plan's own hours."""
    wake, night = settings.night_end.hour, settings.night_start.hour
    names = np.array(["night"] * 24, dtype=object)
    for hour in range(24):
        if (hour - wake) % 24 < (night - wake) % 24:
            names[hour] = "morning" if hour < 12 else "afternoon" if hour < 18 else "evening"
    bands = {}
    for name in ("morning", "afternoon", "evening", "night"):
        own = names == name
        if own.any() and hours[own].sum() > 0:
            days = float(hours[own].sum()) / int(own.sum())
            bands[name] = garwood(float(counts[own].sum()), days)
    return bands


def _fluids(history: History, teach: Mask) -> Range | None:
    days, ml = history.fluids()
    at = days.astype(int) - history.first_day
    kept = (at >= 0) & (at < len(teach))
    total = np.bincount(at[kept], weights=ml[kept], minlength=len(teach)).astype(np.float64)
    total = total[teach & (total > 0)].astype(np.float64)
    return spread_of(total) if len(total) >= 7 else None
