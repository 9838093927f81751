from datetime import timedelta

import numpy as np
import pytest

from tests.baseline.make import CHICAGO, at
from voicelog.baseline.calendar import HOUR, hour_table
from voicelog.baseline.coverage import (
    LONGEST,
    SHORTEST,
    UNKNOWN,
    Gap,
    cut,
    find_gaps,
    gap_between,
    gap_hours,
    recent_rate,
)


def test_a_pause_must_hold_seven_usual_procedures_to_be_a_gap() -> None:
    assert gap_hours(12.0) == 14.0
    assert gap_hours(24.0) == SHORTEST
    assert gap_hours(1.0) == LONGEST
    assert gap_hours(None) == UNKNOWN
    start = at(2026, 1, 5, 8).timestamp()
    assert gap_between(start, start + 14 * HOUR, 12.0) is None
    gap = gap_between(start, start + 14.1 * HOUR, 12.0)
    assert gap is not None
    # Half a usual pause (2 hours at 12 a day) at each end still counts as covered.
    assert gap.start - start == pytest.approx(HOUR)
    assert start + 14.1 * HOUR - gap.end == pytest.approx(HOUR)


def test_recent_rate_is_the_median_of_logged_days() -> None:
    counts = np.array([0, 10, 12, 0, 14, 11, 13, 12, 90], float)
    assert recent_rate(counts, 9) == 12.0
    assert recent_rate(counts, 6) is None


def test_gaps_of_a_history_and_their_hours() -> None:
    first = at(2026, 1, 5)
    times = [first + timedelta(hours=2 * i) for i in range(12 * 20)]
    kept = [t for t in times if not at(2026, 1, 20, 12) < t < at(2026, 1, 21, 12)]
    epochs = np.array([t.timestamp() for t in kept])
    days = np.array([t.toordinal() for t in kept], float)
    day0 = first.toordinal()
    counts = np.bincount((days - day0).astype(int), minlength=20).astype(float)
    gaps = find_gaps(epochs, days, counts, day0)
    assert len(gaps) == 1
    hours = hour_table(day0, day0 + 19, CHICAGO)
    cut(hours, day0, gaps[0], CHICAGO)
    assert hours[15].sum() == pytest.approx(13.0)  # to 12:00 and an hour more
    assert hours[16].sum() == pytest.approx(13.0)
    assert hours[:15].sum() == 15 * 24


def test_cutting_outside_the_table_or_twice_does_no_harm() -> None:
    day0 = at(2026, 1, 5).toordinal()
    hours = hour_table(day0, day0, CHICAGO)
    gap = Gap(at(2026, 1, 4).timestamp(), at(2026, 1, 5, 6).timestamp())
    cut(hours, day0, gap, CHICAGO)
    cut(hours, day0, gap, CHICAGO)
    assert hours.sum() == 18
    assert hours.min() == 0
