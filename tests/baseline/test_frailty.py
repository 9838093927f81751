"""Run lengths of over-dispersed, correlated days: chain against simulation."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import nbinom

from voicelog.baseline.frailty import (
    Days,
    chain_step,
    daily_cusum_arl,
    draw_days,
    latent,
    reference,
    simulate_daily_arl,
)
from voicelog.baseline.runlength import count_cusum_arl


@pytest.mark.parametrize(
    ("days", "h", "side"),
    [
        (Days(13.7, 0.10), 11.0, "rise"),
        (Days(13.7, 0.20), 19.9, "rise"),
        (Days(7.0, 0.15), 12.0, "rise"),
        (Days(7.0, 0.15, 0.0), 9.0, "rise"),
        (Days(12.0, 0.15, 0.7), 14.0, "fall"),
        (Days(5.0, 0.0), 7.0, "rise"),
    ],
)
def test_chain_and_simulation_agree(days, h, side) -> None:
    k = reference(days, 1.5 if side == "rise" else 0.6)
    exact = daily_cusum_arl(days, k, h, side=side, step=chain_step(days, h))
    mean, error = simulate_daily_arl(days, k, h, np.random.default_rng(5), side=side, runs=8_000)
    assert abs(mean - exact) < 4 * error + 0.01 * exact


def test_without_scatter_it_is_lucas_chart() -> None:
    plain = daily_cusum_arl(Days(0.25), 0.25, 10.0)
    assert plain == pytest.approx(count_cusum_arl(0.25, 0.25, 10.0))
    assert plain == pytest.approx(438.125, abs=5e-4)  # Lucas 1985


def test_scatter_and_runs_of_bad_days_shorten_the_run() -> None:
    lengths = [
        daily_cusum_arl(Days(13.7, spread, memory), 16.9, 11.0)
        for spread, memory in ((0.0, 0.0), (0.1, 0.0), (0.1, 0.5), (0.2, 0.5))
    ]
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[0] > 2 * lengths[2]


def test_latent_values_keep_mean_variance_and_correlation() -> None:
    days = Days(1.0, 0.3, 0.5)
    factors, shares, move = latent(days)
    logs = np.log(factors)
    middle = shares @ logs
    assert shares @ factors == pytest.approx(1)
    assert shares @ (logs - middle) ** 2 == pytest.approx(0.3**2, rel=1e-6)
    assert move.sum(axis=1) == pytest.approx(1)
    assert shares @ move == pytest.approx(shares, abs=1e-6)
    covariance = (shares * (logs - middle)) @ move @ (logs - middle)
    assert covariance / 0.3**2 == pytest.approx(0.5, abs=1e-4)


def test_drawn_days_have_the_variance_and_correlation_said() -> None:
    days = Days(12.0, 0.2, 0.5)
    rng = np.random.default_rng(1)
    rates = draw_days(days, (300, 400), rng)
    counts = rng.poisson(rates)
    assert counts.mean() == pytest.approx(12.0, rel=0.01)
    assert counts.var() == pytest.approx(days.variance, rel=0.03)
    logs = np.log(rates)
    assert np.corrcoef(logs[:-1].ravel(), logs[1:].ravel())[0, 1] == pytest.approx(0.5, abs=0.02)


def test_reference_is_where_two_negative_binomials_are_equally_likely() -> None:
    days = Days(13.7, 0.2)
    a = np.expm1(0.2**2)

    def log_ratio(x: float, ratio: float) -> float:
        # The binomial coefficients cancel, so a real x may stand for the count.
        n = 1 / a
        p0, p1 = 1 / (1 + a * days.mean), 1 / (1 + a * ratio * days.mean)
        return n * np.log(p1 / p0) + x * np.log((1 - p1) / (1 - p0))

    for ratio in (1.5, 0.6):
        k = brentq(log_ratio, 0, 60, args=(ratio,))
        assert reference(days, ratio) == pytest.approx(k)
    p0, p1 = 1 / (1 + a * 13.7), 1 / (1 + a * 1.5 * 13.7)
    scipys = nbinom.logpmf(20, 1 / a, p1) - nbinom.logpmf(20, 1 / a, p0)
    assert log_ratio(20, 1.5) == pytest.approx(scipys)


def test_reference_without_scatter_is_lucas_formula() -> None:
    """k = (changed - usual) / (ln changed - ln usual), Lucas 1985."""
    assert reference(Days(4.0), 1.5) == pytest.approx(2.0 / np.log(1.5))
