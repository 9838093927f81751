"""Sixty ten-year homes, the first of ``python -m bench.baseline``.

Sick spells (some tagged), good and bad days and runs of them; a normal learned
along the way; 13.7 procedures a day, that is 25,000 in five years.
"""

import numpy as np
import pytest

from bench.baseline import home
from voicelog.baseline.frailty import Days

SETTING = 200.0


@pytest.fixture(scope="module")
def seen() -> home.Watch:
    rng = np.random.default_rng(2026)
    days = Days(13.7, 0.1)
    return home.watch([home.make_home(days, rng) for _ in range(60)], rng, SETTING)


def by_day_3(watch: home.Watch, ratio: float) -> float:
    return float((np.array(watch.delays[ratio]) <= 3).mean())


def test_false_alarms_are_no_more_often_than_set_within_15_percent(seen) -> None:
    assert seen.false > 500
    assert seen.between >= 0.85 * SETTING


def test_changes_are_told_in_days(seen) -> None:
    assert len(seen.delays[1.5]) > 1000
    assert np.median(seen.delays[1.5]) <= 3
    assert np.median(seen.delays[2.0]) <= 2


def test_sooner_than_rules_with_as_many_false_alarms(seen) -> None:
    c_chart = home.threshold(seen, sigmas=home.tune_sigmas(seen, SETTING))
    fixed = home.threshold(seen, fixed=home.tune_fixed(seen, SETTING))
    assert c_chart.between == pytest.approx(SETTING, rel=0.05)
    for rule in (c_chart, fixed):
        assert by_day_3(seen, 1.5) > by_day_3(rule, 1.5)
        assert by_day_3(seen, 2.0) >= by_day_3(rule, 2.0)
