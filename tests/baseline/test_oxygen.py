import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.baseline.make import CHICAGO, at, event, procedure
from tests.baseline.published import shared
from voicelog.baseline.history import History
from voicelog.baseline.oxygen import (
    NoFlowError,
    UnknownCylinderError,
    cylinder_minutes,
    minutes_left,
)
from voicelog.baseline.settings import Settings
from voicelog.errors import VoicelogError


@pytest.mark.parametrize("case", shared("oxygen")["cases"], ids=str)
def test_published_cases(case) -> None:
    assert minutes_left(case["size"], case["psi"], case["lpm"]) == pytest.approx(
        case["minutes"], abs=0.05
    )


def test_printed_values() -> None:
    """The same from the page, so that an edit of the data file is noticed."""
    assert minutes_left("D", 2000, 0.5) == pytest.approx(576)
    assert minutes_left("D", 1150, 10) == pytest.approx(15.2)
    assert minutes_left("E", 750, 10) == pytest.approx(15.4)
    assert minutes_left("M", 392, 10) == pytest.approx(29.95, abs=0.005)
    assert minutes_left("H", 300, 10) == pytest.approx(31.4)


@given(st.sampled_from("DEGMHK"), st.floats(0, 2500), st.floats(0.1, 15), st.floats(1.01, 4))
def test_more_flow_lasts_shorter_and_never_below_zero(size, psi, lpm, more) -> None:
    left, less = minutes_left(size, psi, lpm), minutes_left(size, psi, lpm * more)
    assert 0 <= less <= left
    assert left == 0 or less < left


def test_reserve_is_kept() -> None:
    assert minutes_left("E", 200, 2) == 0
    assert minutes_left("E", 201, 2) > 0
    assert minutes_left("E", 500, 2, reserve=500) == 0
    assert minutes_left("E", 500, 2, reserve=0) == pytest.approx(70)


def test_errors_are_one_plain_sentence() -> None:
    with pytest.raises(UnknownCylinderError, match=r"^Cylinder size 'Z' is not known: use D") as e:
        minutes_left("Z", 1000, 1)
    assert isinstance(e.value, VoicelogError)
    with pytest.raises(NoFlowError, match="say the flow again"):
        minutes_left("E", 1000, 0)


def test_the_plans_cylinder_at_the_flow_logged_last() -> None:
    settings = Settings(zone=CHICAGO, cylinder="D", cylinder_psi=2000)
    history = History(settings)
    assert cylinder_minutes(history, settings) is None  # no flow known
    history.put(procedure(at(2026, 1, 5, 8), oxygen_lpm=2))
    history.note(event(at(2026, 1, 5, 9), oxygen_lpm=0.5))
    history.put(procedure(at(2026, 1, 5, 10), colour="white"))
    assert cylinder_minutes(history, settings) == pytest.approx(576)
    assert cylinder_minutes(history, Settings(zone=CHICAGO)) is None
