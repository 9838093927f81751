from datetime import timedelta

import numpy as np
import pytest

from tests.baseline.make import CHICAGO, at
from voicelog.baseline.invented import invent
from voicelog.baseline.learner import Learner
from voicelog.baseline.settings import Settings
from voicelog.baseline.view import View
from voicelog.report.normal_plot import UnknownPictureError, draw_normal, save_picture


@pytest.fixture(scope="module")
def view() -> View:
    procedures, events = invent(1)
    learner = Learner(Settings(zone=CHICAGO))
    learner.fill(procedures, events)
    return View(learner, at(2026, 1, 5) + timedelta(days=89, hours=20))


def test_the_picture_shows_the_days_the_chart_and_the_hours(view) -> None:
    days, chart, hours = draw_normal(view).axes
    heights = [bar.get_height() for bar in days.patches if bar.get_height() > 1]
    assert max(heights) == max(step.n for step in view.learner.steps)
    assert {text.get_text() for text in days.texts} >= {"more"}
    assert len(chart.lines) == 5  # two charts, their limits, and zero
    limit = chart.lines[1].get_ydata()
    assert np.isnan(limit[:13]).all()  # no limit while learning
    assert np.isfinite(limit[-1])
    bars = [bar for bar in hours.patches if bar.get_width() == pytest.approx(0.8)]
    assert len(bars) == 24


@pytest.mark.parametrize(("suffix", "starts"), [(".png", b"\x89PNG"), (".svg", b"<?xml")])
def test_png_and_svg_are_the_same_bytes_each_time(view, tmp_path, suffix, starts) -> None:
    for name in ("one", "two"):
        save_picture(draw_normal(view), tmp_path / (name + suffix))
    one = (tmp_path / f"one{suffix}").read_bytes()
    assert one.startswith(starts)
    assert one == (tmp_path / f"two{suffix}").read_bytes()


def test_while_learning_the_picture_is_drawn_too(tmp_path) -> None:
    empty = View(Learner(Settings(zone=CHICAGO)), at(2026, 1, 5))
    save_picture(draw_normal(empty), tmp_path / "empty.png")
    assert (tmp_path / "empty.png").stat().st_size > 1000


def test_another_ending_is_refused_with_the_fix(view, tmp_path) -> None:
    with pytest.raises(UnknownPictureError, match=r"end it with \.png or \.svg"):
        save_picture(draw_normal(view), tmp_path / "normal.gif")
