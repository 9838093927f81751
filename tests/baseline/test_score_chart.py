import numpy as np
import pytest

from voicelog.baseline.runlength import ewma_arl
from voicelog.baseline.score_chart import ScoreChart, limit_for


@pytest.mark.parametrize("days", [50.0, 200.0, 500.0])
def test_the_limit_gives_the_wished_run_length(days) -> None:
    assert ewma_arl(0.2, limit_for(days), sides=1) == pytest.approx(days, rel=2e-3)


def scores(rng, days, shift=0.0, n=10) -> np.ndarray:
    """Daily means of ten skewed scores: mostly clear, some white, few cloudy."""
    draws = rng.choice([0, 1, 2], p=[0.6, 0.3, 0.1], size=(days, n))
    return draws.mean(axis=1) + shift


def learned(rng) -> ScoreChart:
    chart = ScoreChart()
    for day, mean in enumerate(scores(rng, 60)):
        chart.step(day, float(mean))
    return chart


def test_a_step_up_is_told_within_days_and_its_end_too() -> None:
    rng = np.random.default_rng(2)
    chart = learned(rng)
    signals = [chart.step(60 + i, float(m)) for i, m in enumerate(scores(rng, 10, 1.0))]
    assert signals.index(True) <= 2
    assert signals.count(True) == 1
    assert chart.since == 60
    for i, mean in enumerate(scores(rng, 12)):
        chart.step(70 + i, float(mean))
    assert chart.flagged is None


def test_better_is_never_told() -> None:
    rng = np.random.default_rng(3)
    chart = learned(rng)
    assert not any(chart.step(60 + i, 0.0) for i in range(30))


def test_tagged_and_changed_days_do_not_teach_but_a_lasting_change_is_learned() -> None:
    rng = np.random.default_rng(4)
    chart = learned(rng)
    centre = chart.center
    for i in range(20):
        chart.step(60 + i, 3.0, ordinary=False)
    assert chart.center == pytest.approx(centre, abs=0.05)
    for i in range(60):
        chart.step(80 + i, 3.0 + 0.1 * (i % 3))
    assert chart.center == pytest.approx(3.1, abs=0.05)
    assert chart.flagged is None


def test_days_without_a_score_change_nothing() -> None:
    chart = learned(np.random.default_rng(5))
    before = (chart.value, len(chart.means), chart.edge)
    assert not chart.step(99, float("nan"))
    assert (chart.value, len(chart.means), chart.edge) == before


def test_false_alarms_are_no_more_often_than_set_even_for_alike_days() -> None:
    """40 homes of two years, skewed scores, neighbouring days alike (0.3); set to 100 days."""
    rng = np.random.default_rng(6)
    watched = false = 0
    for _ in range(40):
        chart, bad = ScoreChart(false_alarm_days=100), 0.0
        for day, mean in enumerate(scores(rng, 730)):
            bad = 0.3 * bad + np.sqrt(1 - 0.3**2) * 0.2 * rng.standard_normal()
            raised = chart.flagged is not None
            new = chart.step(day, float(mean) + bad)
            watched += not raised and not chart.learning
            false += new
    assert watched / false > 85


def test_a_sure_change_does_not_teach_even_untagged() -> None:
    rng = np.random.default_rng(7)
    chart = learned(rng)
    centre = chart.center
    for i, mean in enumerate(scores(rng, 10, 1.5)):
        chart.step(60 + i, float(mean))
    for i, mean in enumerate(scores(rng, 60)):
        chart.step(70 + i, float(mean))
    assert chart.center == pytest.approx(centre, abs=0.05)
    assert max(chart.means) < 1.5
