import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import nbinom, poisson
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import confint_poisson

from tests.baseline.published import shared
from voicelog.baseline.frailty import Days
from voicelog.baseline.intervals import (
    Range,
    count_range,
    garwood,
    normal_quantile,
    share,
    spread_of,
)


def test_garwood_1936() -> None:
    """Exact Poisson intervals, four printed decimals."""
    example = shared("statistics")["poisson_exact"]
    for count, low, high in example["two_sided_95"]:
        found = garwood(count)
        assert found.low == pytest.approx(low, abs=1e-4)
        assert found.high == pytest.approx(high, abs=1e-4)
    for level, key in ((0.90, "level_90"), (0.99, "level_99")):
        found = garwood(25, level=level)
        assert [found.low, found.high] == pytest.approx(example["n_25"][key], abs=0.005)
    # One-sided 95 % for nothing seen is 2.996, not 3.689: the upper end at level 90 %.
    assert garwood(0, level=0.90).high == pytest.approx(example["zero_one_sided_95"], abs=5e-4)


@given(st.integers(0, 400), st.floats(0.1, 500))
def test_garwood_is_statsmodels_exact_interval(count, exposure) -> None:
    low, high = confint_poisson(count, exposure, method="exact-c")
    found = garwood(count, exposure)
    assert found.low == pytest.approx(float(low) if count else 0.0, rel=1e-9)
    assert found.high == pytest.approx(float(high), rel=1e-9)
    assert found.low <= found.value <= found.high


@given(st.integers(0, 60), st.integers(1, 60))
def test_share_is_statsmodels_exact_interval(hits, n) -> None:
    hits = min(hits, n)
    low, high = proportion_confint(hits, n, method="beta")
    found = share(hits, n)
    assert found.low == pytest.approx(float(low), abs=1e-9)
    assert found.high == pytest.approx(float(high), abs=1e-9)


def test_a_share_of_nothing_is_anything() -> None:
    assert share(0, 0) == Range(0.0, 0.0, 1.0, 0)


def test_spread_leaves_out_what_was_not_logged() -> None:
    values = np.array([np.nan, 1, 2, 3, 4, 5, 6, 7, 8, 9, np.nan])
    assert spread_of(values) == Range(pytest.approx(1.8), 5.0, pytest.approx(8.2), 9)
    assert spread_of(np.array([np.nan])) is None


@pytest.mark.parametrize("mean", [0.8, 7.0, 13.7])
def test_count_range_of_plain_poisson_is_scipys(mean) -> None:
    found = count_range(Days(mean), 0.0)
    assert (found.low, found.high) == tuple(poisson.ppf([0.1, 0.9], mean))


def test_count_range_of_scattered_days_is_close_to_the_negative_binomial() -> None:
    spread = 0.3
    a = np.expm1(spread**2)
    found = count_range(Days(20.0, spread), 0.0)
    low, high = nbinom.ppf([0.1, 0.9], 1 / a, 1 / (1 + a * 20.0))
    assert abs(found.low - low) <= 1
    assert abs(found.high - high) <= 1


def test_doubt_widens_and_part_of_a_day_scales() -> None:
    sure, unsure = count_range(Days(12.0, 0.1), 0.0), count_range(Days(12.0, 0.1), 0.2)
    assert unsure.high - unsure.low > sure.high - sure.low
    half = count_range(Days(12.0, 0.1), 0.0, exposure=0.5)
    assert half.value == 6.0
    assert half.high < sure.high


def test_count_range_covers_what_it_says() -> None:
    rng = np.random.default_rng(4)
    found = count_range(Days(12.0, 0.15), 0.0)
    rates = 12.0 * np.exp(0.15 * rng.standard_normal(40_000) - 0.15**2 / 2)
    counts = rng.poisson(rates)
    inside = ((counts >= found.low) & (counts <= found.high)).mean()
    assert 0.8 <= inside <= 0.92  # whole numbers cover a little more
    assert found.holds(12)
    assert not found.holds(40)


def test_normal_quantile() -> None:
    assert normal_quantile(0.975) == pytest.approx(1.959964, abs=1e-6)
