import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.baseline.frailty import Days, draw_days
from voicelog.baseline.pool import PRIOR_DAYS, PRIOR_SPREAD, Pool


def test_nothing_known() -> None:
    pool = Pool()
    assert (pool.mean, pool.spread, pool.doubt) == (0.0, PRIOR_SPREAD, 1.0)


@given(
    st.lists(st.tuples(st.integers(0, 30), st.floats(0.2, 1.1)), min_size=1, max_size=40),
    st.integers(1, 12),
)
def test_sums_are_those_of_the_days_kept(days, window) -> None:
    pool = Pool(window=window)
    for count, exposure in days:
        pool.add(count, exposure)
    kept = np.array(days[-window:], float)
    assert len(pool) == len(kept)
    assert pool.mean == pytest.approx(kept[:, 0].sum() / kept[:, 1].sum())
    assert pool.squares == pytest.approx((kept[:, 0] ** 2).sum(), abs=1e-6)
    assert pool.cross == pytest.approx((kept[:, 0] * kept[:, 1]).sum(), abs=1e-6)


@pytest.mark.parametrize("true", [0.0, 0.1, 0.25])
def test_a_year_tells_the_scatter(true) -> None:
    rng = np.random.default_rng(8)
    found = []
    for home in range(30):
        pool = Pool()
        days = Days(13.0, true, 0.5)
        for rate in draw_days(days, (365, 1), np.random.default_rng(home))[:, 0]:
            pool.add(float(rng.poisson(rate)), 1.0)
        found.append(pool.spread**2)
    # Drawn towards the prior, which weighs as much as so many days.
    want = (PRIOR_DAYS * PRIOR_SPREAD**2 + 365 * true**2) / (PRIOR_DAYS + 365)
    assert np.mean(found) == pytest.approx(want, abs=0.004)


def test_doubt_is_the_error_of_the_learned_mean() -> None:
    rng = np.random.default_rng(9)
    days, logs, said = Days(13.0, PRIOR_SPREAD, 0.5), [], []
    for _ in range(400):
        pool = Pool()
        for rate in draw_days(days, (60, 1), rng)[:, 0]:
            pool.add(float(rng.poisson(rate)), 1.0)
        logs.append(np.log(pool.mean / 13.0))
        said.append(pool.doubt)
    assert np.mean(said) == pytest.approx(np.std(logs), rel=0.12)
