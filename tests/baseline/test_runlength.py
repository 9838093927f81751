"""Run lengths against published ones.

Marks as in shared/statistics.yaml: the tables were read in stored copies of the
sources and recomputed.
"""

import numpy as np
import pytest

from voicelog.baseline.runlength import (
    count_cusum_arl,
    cusum_chain,
    ewma_arl,
    normal_cusum_arl,
    poisson_pmf,
)


@pytest.mark.parametrize(
    ("side", "start", "printed", "exact"),
    [
        ("rise", 0.0, 438, 438.125),
        ("rise", 5.0, 333, 333.125),
        ("fall", 0.0, 437, 436.764),
        ("fall", 5.0, 318, 318.333),
    ],
)
def test_lucas_1985_tables_2_to_5(side, start, printed, exact) -> None:
    """Lucas, Technometrics 1985;27:129-144: k 0.25, h 10, mean 0.25, signal at S >= h."""
    length = count_cusum_arl(0.25, 0.25, 10.0, side=side, start=start)
    assert round(length) == printed
    assert length == pytest.approx(exact, abs=5e-4)


@pytest.mark.parametrize(
    ("shift", "printed"),
    [
        (0, 168),
        (0.25, 74.2),
        (0.5, 26.6),
        (0.75, 13.3),
        (1, 8.38),
        (1.5, 4.75),
        (2, 3.34),
        (3, 2.19),
    ],
)
def test_lucas_crosier_1982_table_1(shift, printed) -> None:
    """Two-sided, k 0.5, h 4."""
    length = normal_cusum_arl(0.5, 4.0, shift=shift, sides=2)
    assert length == pytest.approx(printed, rel=2.5e-3)


def test_brook_evans_1972_one_sided() -> None:
    assert normal_cusum_arl(0.5, 3.0) == pytest.approx(117.59, abs=0.01)
    assert normal_cusum_arl(0.5, 3.0, shift=1.5) == pytest.approx(3.75, abs=0.005)


@pytest.mark.parametrize(
    ("weight", "limit", "shift", "printed"),
    [
        (0.5, 3.071, 0, 500),
        (0.5, 3.071, 0.25, 255),
        (0.5, 3.071, 0.5, 88.8),
        (0.5, 3.071, 0.75, 35.9),
        (0.5, 3.071, 1, 17.5),
        (0.5, 3.071, 1.5, 6.53),
        (0.5, 3.071, 2, 3.63),
        (0.5, 3.071, 3, 1.93),
        (0.03, 2.437, 0, 500),
        (0.03, 2.437, 0.5, 29.3),
        (0.03, 2.437, 1, 12.6),
        (0.03, 2.437, 2, 5.99),
        (0.03, 2.437, 3, 4.03),
    ],
)
def test_lucas_saccucci_1990_table_3(weight, limit, shift, printed) -> None:
    assert ewma_arl(weight, limit, shift=shift) == pytest.approx(printed, rel=2e-3, abs=0.005)


def test_ewma_to_eight_figures() -> None:
    """A software manual of 1999 prints lambda 0.25, L 3, shift 1."""
    assert ewma_arl(0.25, 3.0, shift=1.0) == pytest.approx(11.154267016, abs=1e-8)


@pytest.mark.parametrize(
    ("weight", "limit"), [(0.05, 2.32), (0.1, 2.55), (0.15, 2.65), (0.2, 2.72), (0.25, 2.76)]
)
def test_crowder_1989_limits_for_250(weight, limit) -> None:
    """Crowder, J Quality Technology 1989;21:155-162: two decimals of L give 247 to 253."""
    assert 247 <= ewma_arl(weight, limit) <= 253


def test_normal_charts_agree_with_simulation() -> None:
    rng = np.random.default_rng(11)
    runs = 20_000
    cusum, average = np.zeros(runs), np.zeros(runs)
    lengths = np.zeros((2, runs))
    going = np.ones((2, runs), dtype=bool)
    edge = 2.0 * np.sqrt(0.2 / 1.8)
    while going.any():
        z = rng.standard_normal(runs)
        cusum = np.maximum(0, cusum + z - 0.5)
        average = np.maximum(0, 0.8 * average + 0.2 * z)
        lengths += going
        going &= np.array([cusum < 3.0, average < edge])
    expected = [normal_cusum_arl(0.5, 3.0), ewma_arl(0.2, 2.0, sides=1)]
    for length, want in zip(lengths, expected, strict=True):
        error = length.std() / np.sqrt(runs)
        assert abs(length.mean() - want) < 4 * error


def test_count_chart_agrees_with_simulation_off_the_lattice() -> None:
    rng = np.random.default_rng(12)
    k, h, runs = 8.613, 9.37, 20_000
    s, ended, step = np.zeros(runs), [], 0
    while len(s):
        step += 1
        s = np.maximum(0, s + rng.poisson(7.0, len(s)) - k)
        ended += [step] * int((s >= h).sum())
        s = s[s < h]
    lengths = np.array(ended, dtype=float)
    error = lengths.std() / np.sqrt(runs)
    assert abs(lengths.mean() - count_cusum_arl(7.0, k, h)) < 4 * error + 0.01 * lengths.mean()


def test_a_chain_never_gains_probability() -> None:
    for side in ("rise", "fall"):
        chain = cusum_chain(poisson_pmf(7.0), 8.6, 12.3, side, 0.25)
        assert chain.min() >= 0
        assert chain.sum(axis=1).max() <= 1 + 1e-12


def test_a_far_side_is_infinite_rather_than_negative() -> None:
    assert normal_cusum_arl(0.5, 4.0, shift=-6.0) > 1e12
    assert normal_cusum_arl(0.5, 4.0, shift=6.0, sides=2) < 2


def test_poisson_pmf_matches_scipy() -> None:
    from scipy.stats import poisson

    x = np.arange(60)
    assert poisson_pmf(7.3, 60) == pytest.approx(poisson.pmf(x, 7.3))
    assert poisson_pmf(0.0, 3) == pytest.approx([1, 0, 0])
