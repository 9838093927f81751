import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.baseline.published import shared
from voicelog.baseline.fluids import Intake, reference_ml


@pytest.mark.parametrize("case", shared("fluids")["cases"], ids=str)
def test_holliday_segar_table(case) -> None:
    """Holliday & Segar, Pediatrics 1957."""
    assert reference_ml(case["kg"]) == pytest.approx(case["ml_day"])
    assert reference_ml(case["kg"]) / 24 == pytest.approx(case["ml_hour"], abs=0.005)


def test_printed_values() -> None:
    found = [reference_ml(kg) for kg in (3, 5, 8, 10, 14, 15, 20, 25, 26, 30, 55)]
    assert found == pytest.approx([300, 500, 800, 1000, 1200, 1250, 1500, 1600, 1620, 1700, 2200])


@given(st.floats(0, 80), st.floats(0.001, 5))
def test_rises_without_steps(kg, more) -> None:
    below, above = reference_ml(kg), reference_ml(kg + more)
    assert below < above <= below + 100 * more + 1e-6


def test_share_of_the_plan_only() -> None:
    assert Intake(300, 900, 1000).share == pytest.approx(1 / 3)
    assert Intake(300, None, 1000).share is None
