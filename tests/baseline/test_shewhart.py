import pytest

from tests.baseline.published import shared
from voicelog.baseline.shewhart import c_limits, u_limits


def test_nist_c_chart() -> None:
    """NIST/SEMATECH e-Handbook 6.3.3.1: wafer defects, limits 4 and 28, only point 24 out."""
    example = shared("statistics")["c_chart"]
    counts = example["counts"]
    assert len(counts) == 25
    assert sum(counts) == example["sum"] == 400
    low, high = c_limits(sum(counts) / len(counts))
    assert (low, high) == (4, 28) == (example["lcl"], example["ucl"])
    assert counts[2] == 28  # on the limit is not out
    assert [i for i, n in enumerate(counts, 1) if n > high or n < low] == example["out"] == [24]


def test_u_chart_of_unequal_rolls() -> None:
    """A software manual's textile example: 215 defects in 746.4 units."""
    example = shared("statistics")["u_chart"]
    rate = example["defects"] / example["area"]
    assert rate == pytest.approx(example["mean"], abs=5e-7)
    low, high = u_limits(rate, example["at_area"])
    assert high == pytest.approx(example["ucl"], abs=5e-7)
    assert low == example["lcl"] == 0  # -0.0059 before it is clamped
