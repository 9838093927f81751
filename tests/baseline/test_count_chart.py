import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.baseline.published import shared
from voicelog.baseline.count_chart import ACCEPT, CountChart, OneSide
from voicelog.baseline.frailty import Days, draw_days


def test_nist_cusum() -> None:
    """NIST/SEMATECH e-Handbook 6.3.2.3: first signal at 14."""
    example = shared("statistics")["cusum_nist"]
    high = OneSide("rise", k=example["k"], h=float("inf"))
    low = OneSide("fall", k=-example["k"], h=float("inf"))
    paths = []
    for day, x in enumerate(example["x"], 1):
        high.step(day, x - example["target"], 1.0)
        low.step(day, x - example["target"], 1.0)
        paths.append((high.value, low.value))
    assert [h for h, _ in paths][12:] == pytest.approx(example["high_from_13"], abs=1e-6)
    lows = [low for _, low in paths]
    assert max(lows) == pytest.approx(example["low_max"]["value"])
    assert lows.index(max(lows)) + 1 == example["low_max"]["at"]
    chart = OneSide("rise", k=example["k"], h=example["h"])
    signals = [d for d, x in enumerate(example["x"], 1) if chart.step(d, x - 325, 1.0)]
    assert signals == [example["signal"]] == [14]
    assert chart.since == 13  # S was last zero at 12


def test_thirty_observations() -> None:
    """Montgomery's series: C+ 4.47 at 28 and 5.28, the first signal, at 29."""
    example = shared("statistics")["thirty_observations"]
    given_ = example["cusum"]
    chart = OneSide("rise", k=given_["k"], h=float("inf"))
    path = []
    for day, x in enumerate(example["x"], 1):
        chart.step(day, x - example["target"], 1.0)
        path.append(chart.value)
    for at, value in given_["high"].items():
        assert path[at - 1] == pytest.approx(value, abs=1e-9)
    assert next(i for i, s in enumerate(path, 1) if s >= given_["h"]) == given_["signal"] == 29


def test_a_value_on_the_limit_signals() -> None:
    """Lucas 1985 signals at S >= h."""
    chart = OneSide("rise", k=5.0, h=3.0)
    assert chart.step(1, 8.0, 1.0)
    assert not OneSide("rise", k=5.0, h=3.001).step(1, 8.0, 1.0)


def learned(mean: float = 12.0, days: int = 60, seed: int = 1, **kwargs) -> CountChart:
    chart, rng = CountChart(**kwargs), np.random.default_rng(seed)
    for day in range(days):
        chart.step(day, float(rng.poisson(mean)), 1.0)
    return chart


def test_no_signal_and_no_normal_while_learning() -> None:
    chart = CountChart()
    steps = [chart.step(day, 90.0 if day == 9 else 10.0, 1.0) for day in range(14)]
    assert not any(s.rise_new or s.fall_new for s in steps)
    assert not chart.learning
    assert CountChart(learning_days=20).step(0, 5, 1.0).rise_h == float("inf")


def test_tagged_days_do_not_teach() -> None:
    chart = CountChart()
    for day in range(40):
        tagged = day % 2 == 1
        chart.step(day, 30.0 if tagged else 10.0, 1.0, ordinary=not tagged)
    assert chart.pool.mean == 10.0


def test_days_without_logging_are_skipped_and_parts_count_as_parts() -> None:
    chart = learned()
    before = chart.rise.value, chart.fall.value, len(chart.pool)
    chart.step(100, 0.0, 0.0)
    assert (chart.rise.value, chart.fall.value, len(chart.pool)) == before
    pool = CountChart().pool
    pool.add(6, 0.5)
    pool.add(12, 1.0)
    assert pool.mean == 12.0


def test_a_doubled_rate_is_told_within_two_days_and_its_end_too() -> None:
    chart = learned(days=200)
    rng = np.random.default_rng(3)
    signals = [chart.step(200 + i, float(rng.poisson(24.0)), 1.0).rise_new for i in range(6)]
    assert 0 <= signals.index(True) <= 1
    assert signals.count(True) == 1
    assert chart.rise.since is not None
    assert 195 <= chart.rise.since <= 201
    for i in range(12):
        chart.step(206 + i, float(rng.poisson(12.0)), 1.0)
    assert chart.rise.flagged is None


def test_changed_days_do_not_teach() -> None:
    chart = learned(days=200)
    mean = chart.pool.mean
    for i in range(14):
        chart.step(200 + i, 26.0, 1.0)
    assert chart.rise.flagged is not None
    assert chart.pool.mean == pytest.approx(mean, rel=0.02)


def test_a_change_that_lasts_becomes_the_normal() -> None:
    chart = learned(days=200)
    rng = np.random.default_rng(5)
    steps = [chart.step(200 + i, float(rng.poisson(18.0)), 1.0) for i in range(ACCEPT + 10)]
    assert sum(s.new_normal for s in steps) == 1
    assert chart.pool.mean == pytest.approx(18.0, rel=0.1)
    assert chart.normal_since is not None
    assert 195 <= chart.normal_since <= 205
    assert chart.rise.flagged is None
    assert not chart.learning


def test_a_long_tagged_change_does_not_become_the_normal() -> None:
    chart = learned(days=200)
    for i in range(60):
        chart.step(200 + i, 20.0, 1.0, ordinary=False)
    assert chart.normal_since is None
    assert chart.pool.mean == pytest.approx(12.0, rel=0.1)


def test_a_fall_is_told() -> None:
    chart = learned(days=200)
    rng = np.random.default_rng(6)
    signals = [chart.step(200 + i, float(rng.poisson(5.0)), 1.0).fall_new for i in range(10)]
    assert any(signals)
    assert not chart.rise.flagged


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.lists(st.integers(0, 40), min_size=1, max_size=30))
def test_told_before_the_day_is_over_exactly_when_its_end_would_tell(seed, counts) -> None:
    """So the days between false alarms are those of the daily chart."""
    chart = learned(seed=seed % 7)
    for day, count in enumerate(counts, 60):
        early = [chart.rising_by(n, 1.0) for n in range(count + 1)]
        assert early == sorted(early)  # once certain, it stays so
        certain, raised = early[-1], chart.rise.flagged is not None
        step = chart.step(day, float(count), 1.0)
        assert step.rise_new == (certain and not raised)


def test_an_ordinary_year_raises_few_false_alarms() -> None:
    """30 homes' second years at a setting of 100 days; the long run is in bench/baseline."""
    days, rng = Days(13.7, 0.1), np.random.default_rng(10)
    watched = false = 0
    for _ in range(30):
        chart = CountChart(false_alarm_days=100)
        counts = rng.poisson(draw_days(days, (730, 1), rng)[:, 0])
        for day, count in enumerate(counts):
            raised = chart.rise.flagged is not None or chart.fall.flagged is not None
            step = chart.step(day, float(count), 1.0)
            if day >= 365 and not raised:
                watched += 1
                false += step.rise_new or step.fall_new
    expected = watched / 100
    assert false < expected + 3 * np.sqrt(expected)
    assert false > expected / 4  # and it is not mute
