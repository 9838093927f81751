"""The stored limits do what they say, checked by fresh chains off the grid."""

import numpy as np
import pytest

from voicelog.baseline.frailty import Days, chain_step, daily_cusum_arl, reference
from voicelog.baseline.limits_table import (
    DOUBTS,
    FILE,
    LENGTHS,
    MEANS,
    RATIO,
    SPREADS,
    limit,
    solve,
)

CASES = [
    (Days(13.7, 0.10), "rise", 200 / 0.9),
    (Days(7.0, 0.12), "rise", 200 / 0.9),
    (Days(9.3, 0.17), "rise", 90.0),
    (Days(22.0, 0.25), "rise", 365.0),
    (Days(4.0, 0.12), "rise", 200.0),
    (Days(13.7, 0.10), "fall", 2000.0),
    (Days(6.0, 0.15), "fall", 1000.0),
]


@pytest.mark.parametrize(("days", "side", "wished"), CASES)
def test_a_limit_gives_the_wished_run_length(days, side, wished) -> None:
    h = limit(days, side, 0.0, wished)
    k = reference(days, RATIO[side])
    length = daily_cusum_arl(days, k, h, side=side, step=chain_step(days, h))
    assert length == pytest.approx(wished, rel=0.08)


@pytest.mark.parametrize(
    ("days", "side", "wished", "doubt"),
    [
        (Days(13.7, 0.10), "rise", 200 / 0.9, 0.03),
        (Days(7.0, 0.12), "rise", 200 / 0.9, 0.06),
        (Days(13.7, 0.12), "fall", 1000.0, 0.05),
    ],
)
def test_doubt_about_the_mean_is_averaged_in(days, side, wished, doubt) -> None:
    h = limit(days, side, doubt, wished)
    k = reference(days, RATIO[side])
    z, weights = np.polynomial.hermite_e.hermegauss(15)
    rates = [
        1 / daily_cusum_arl(
            Days(days.mean * np.exp(doubt * x), days.spread), k, h, side=side,
            step=chain_step(days, h),
        )
        for x in z
    ]  # fmt: skip
    between = 1 / float(weights @ rates / weights.sum())
    assert between == pytest.approx(wished, rel=0.12)
    assert h > limit(days, side, 0.0, wished)


def test_limits_rise_with_what_is_asked_and_with_what_is_not_known() -> None:
    days = Days(13.7, 0.1)
    by_length = [limit(days, "rise", 0.03, n) for n in LENGTHS]
    by_doubt = [limit(days, "rise", d, 200.0) for d in DOUBTS]
    by_spread = [limit(Days(13.7, s), "rise", 0.03, 200.0) for s in SPREADS]
    for limits in (by_length, by_doubt, by_spread):
        assert limits == sorted(limits)
        assert limits[0] < limits[-1]


def test_outside_the_grid_the_edge_is_taken() -> None:
    assert limit(Days(13.7, 0.1), "rise", 9.0, 200.0) == limit(
        Days(13.7, 0.1), "rise", DOUBTS[-1], 200.0
    )
    assert limit(Days(13.7, 0.1), "rise", 0.0, 1.0) == limit(
        Days(13.7, 0.1), "rise", 0.0, LENGTHS[0]
    )
    assert limit(Days(0.2, 0.1), "rise", 0.0, 200.0) > 0


def test_the_stored_grid_is_whole() -> None:
    with np.load(FILE) as stored:
        for side in ("rise", "fall"):
            grid = stored[side]
            assert grid.shape == (len(MEANS), len(SPREADS), len(DOUBTS), len(LENGTHS))
            assert np.isfinite(grid).all()
            assert (grid > 0).all()


def test_a_stored_cell_is_what_solving_gives() -> None:
    days = Days(float(MEANS[4]), float(SPREADS[2]))
    fresh = solve(days, "rise", DOUBTS, LENGTHS)
    with np.load(FILE) as stored:
        assert fresh == pytest.approx(stored["rise"][4, 2], rel=1e-4)
