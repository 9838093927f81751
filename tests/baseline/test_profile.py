import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.baseline.profile import Profile

FULL = np.ones(24)


def taught(counts, days: int) -> Profile:
    profile = Profile()
    for _ in range(days):
        profile.add(np.asarray(counts, float), FULL)
    return profile


@given(st.lists(st.integers(0, 5), min_size=24, max_size=24), st.integers(0, 30))
def test_shares_are_shares_and_a_whole_day_is_one(counts, days) -> None:
    profile = taught(counts, days)
    assert profile.shares.sum() == pytest.approx(1)
    assert (profile.shares > 0).all()
    assert profile.exposure(FULL) == 1.0


def test_part_of_a_day_weighs_by_its_usual_hours() -> None:
    counts = np.zeros(24)
    counts[8:20] = 1
    profile = taught(counts, 60)
    day, night = FULL.copy(), FULL.copy()
    day[:8] = day[20:] = 0
    night[8:20] = 0
    assert profile.exposure(day) > 0.9
    assert profile.exposure(night) < 0.1
    assert profile.exposure(day) + profile.exposure(night) == pytest.approx(1)


def test_a_repeated_hour_counts_twice() -> None:
    profile = taught(np.ones(24), 30)
    hours = FULL.copy()
    hours[1] = 2
    assert profile.exposure(hours) == pytest.approx(25 / 24)


def test_hours_half_logged_are_not_half_as_busy() -> None:
    profile, half = Profile(), FULL.copy()
    half[12:] = 0
    for day in range(200):
        logged = half if day % 2 else FULL
        profile.add(logged, logged)
    assert profile.shares.max() / profile.shares.min() < 1.1
