"""Each reason: when it is told, with what numbers, and when it is not."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from tests.baseline.make import CHICAGO, at, event, procedure, steady
from voicelog.baseline.learner import Learner
from voicelog.baseline.reasons import REGISTRY, Finding, findings
from voicelog.baseline.settings import Settings
from voicelog.baseline.view import View

SETTINGS = Settings(
    zone=CHICAGO,
    depth_cm=6.0,
    deeper_allowed_cm=0.5,
    pressure_high=100,
    pass_seconds_high=10,
    fluid_target_ml=900,
    contact="555 0142",
)
USUAL = {"colour": "clear", "thickness": "normal", "amount": "moderate", "odour": "none"}
DAYS = 40
NOW = at(2026, 2, 9, 23, 30)


def usual_days(days: int = DAYS) -> list:
    return steady(at(2026, 1, 1), days, passes=(6.0, 6.0), depth_cm=6.0, pressure_mmhg=90, **USUAL)


def look(name, extra=(), *, events=(), now=NOW, settings=SETTINGS, drop=0) -> Finding | None:
    """The reason ``name`` after forty usual days whose last ``drop`` give way to ``extra``."""
    procedures = usual_days()
    procedures = procedures[: len(procedures) - drop] + list(extra)
    learner = Learner(settings)
    learner.fill(procedures, events)
    return REGISTRY[name](View(learner, now))


def today(n: int, **slots) -> list:
    """``n`` procedures of the last evening, ten minutes apart, ending at 23:20."""
    last = at(2026, 2, 9, 23, 20)
    base = {"passes": (6.0, 6.0), "depth_cm": 6.0, "pressure_mmhg": 90, **USUAL}
    return [procedure(last - timedelta(minutes=10 * i), **{**base, **slots}) for i in range(n)][
        ::-1
    ]


@pytest.mark.parametrize("name", sorted(REGISTRY))
def test_usual_days_raise_nothing(name) -> None:
    assert look(name) is None


@pytest.mark.parametrize("name", sorted(REGISTRY))
def test_an_empty_log_raises_nothing(name) -> None:
    assert REGISTRY[name](View(Learner(SETTINGS), NOW)) is None


def test_more_often_is_told_on_the_first_day_that_is_certain() -> None:
    found = look("more_often", today(20))
    assert found is not None
    assert found.level == "call"
    assert found.numbers["today"] == 30
    assert found.numbers["a_day"] == 30
    assert found.numbers["low"] <= 10 <= found.numbers["high"] < 20


def test_more_often_is_not_told_when_it_is_over() -> None:
    first = at(2026, 2, 10)
    busy = steady(first, 6, hours=(0, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23))
    busy += steady(first, 6)
    calm = steady(first + timedelta(days=6), 3)
    during = look("more_often", busy, now=at(2026, 2, 15, 23, 50))
    after = look("more_often", [*busy, *calm], now=at(2026, 2, 18, 23, 50))
    assert during is not None
    assert during.numbers["days"] == 6
    assert during.numbers["a_day"] == 22
    assert after is None


def test_less_often() -> None:
    quiet = steady(at(2026, 2, 10), 12, hours=(6, 14, 20))
    found = look("less_often", quiet, now=at(2026, 2, 21, 23))
    assert found is not None
    assert found.numbers["a_day"] == pytest.approx(3, abs=1.5)
    assert found.numbers["low"] > 3


def test_nothing_logged() -> None:
    last = at(2026, 2, 9, 22, 30)
    found = look("no_log", now=last + timedelta(hours=24))
    assert found is not None
    assert found.numbers == {"hours": 24, "expected": 10}
    assert look("no_log", now=last + timedelta(hours=12)) is None
    assert look("no_log", now=last + timedelta(days=40)) is None  # not in use any more


def test_thicker_after_three_in_a_row() -> None:
    assert look("thicker", today(2, thickness="thick")) is None
    found = look("thicker", today(4, thickness="very thick"))
    assert found is not None
    assert found.numbers == {"n": 4, "word": "very thick", "usual": "normal"}
    broken = [*today(4, thickness="thick")[:3], *today(1)]
    assert look("thicker", broken) is None


def test_thick_mornings_are_not_thicker() -> None:
    morning = [procedure(at(2026, 2, 9, 7, m), thickness="thick") for m in (5, 20, 40)]
    now = at(2026, 2, 9, 7, 50)
    assert look("thicker", morning, now=now, drop=9) is None
    note = look("morning", morning, now=now, drop=9)
    assert note is not None
    assert note.level == "note"
    assert note.numbers == {"word": "thick", "time": "09:00"}


def test_colour_changed_and_still_so_at_the_recheck() -> None:
    first = procedure(at(2026, 2, 9, 22, 50), colour="yellow")
    assert look("colour_changed", [first]) is None
    still = procedure(at(2026, 2, 9, 23, 10), colour="green")
    found = look("colour_changed", [first, still])
    assert found is not None
    assert found.numbers == {
        "word": "green",
        "first": "yellow",
        "time": "22:50",
        "usual": "white",
    }
    better = procedure(at(2026, 2, 9, 23, 15), colour="white")
    assert look("colour_changed", [first, still, better]) is None


def test_colour_drift() -> None:
    darker = steady(at(2026, 2, 10), 8, colour="cloudy")
    found = look("colour_drift", darker, now=at(2026, 2, 17, 23))
    assert found is not None
    assert (found.numbers["word"], found.numbers["usual"]) == ("cloudy", "clear")
    assert 5 <= found.numbers["days"] <= 8


@pytest.mark.parametrize(
    ("name", "slots"),
    [
        ("odour", {"odour": "foul"}),
        ("blood", {"colour": "red"}),
        ("blood", {"colour": "pink"}),
        ("blood", {"colour": "blood-tinged"}),
    ],
)
def test_one_foul_smell_or_any_blood_is_told_for_a_day(name, slots) -> None:
    found = look(name, today(1, **slots))
    assert found is not None
    assert found.level == "call"
    assert found.numbers == {"n": 1, "of": 11}
    assert look(name, today(1, **slots), now=NOW + timedelta(days=1)) is None


@pytest.mark.parametrize(
    "hard", [{"passes": (5.0,) * 4}, {"depth_cm": 7.0}], ids=["more passes", "deeper"]
)
def test_plug_needs_thick_and_hard_to_clear_twice(hard) -> None:
    found = look("plug", today(2, thickness="thick", **hard))
    assert found is not None
    assert found.level == "call"
    assert (found.numbers["n"], found.numbers["of"]) == (2, 4)
    assert look("plug", today(1, thickness="thick", **hard)) is None
    assert look("plug", today(3, **hard)) is None  # hard, but not thick
    assert look("plug", today(3, thickness="thick")) is None  # thick, but usual


def test_plug_within_the_plans_allowance_is_not_deep() -> None:
    assert look("plug", today(3, thickness="thick", depth_cm=6.5)) is None


def test_watery() -> None:
    found = look("watery", today(5, thickness="watery"))
    assert found is not None
    assert found.numbers == {"n": 5, "of": 6}
    assert look("watery", today(3, thickness="watery")) is None


def drinks(ml: int) -> list:
    return [event(at(2026, 2, 9, h), fluid_ml=ml) for h in (9, 13, 18)]


def test_thick_with_little_to_drink() -> None:
    thick = today(3, thickness="thick")
    found = look("dry", thick, events=drinks(100))
    assert found is not None
    assert found.numbers == {"n": 3, "ml": 300, "usual": 900}
    assert look("dry", thick, events=drinks(280)) is None
    assert look("dry", thick) is None  # nothing logged is not nothing drunk
    assert look("dry", today(2, thickness="thick"), events=drinks(100)) is None
    inside = today(3, thickness="thick", fluid_ml=50)
    assert look("dry", inside, events=drinks(50)).numbers["ml"] == 300


def test_saline_at_most_procedures() -> None:
    found = look("saline_often", today(12, saline_drops=3))
    assert found is not None
    assert found.numbers == {"n": 12, "of": 20, "usual": 0}
    assert look("saline_often", today(10, saline_drops=3)) is None


def test_little_or_nothing_obtained() -> None:
    found = look("little", today(7, amount="scant"))
    assert found is not None
    assert found.numbers == {"n": 7, "of": 12}
    assert look("little", today(6, amount="none")) is None


def test_pressure_on_the_limit_is_within() -> None:
    assert look("pressure", today(2, pressure_mmhg=100)) is None
    found = look("pressure", today(2, pressure_mmhg=101))
    assert found is not None
    assert found.numbers == {"n": 2, "of": 12, "most": 101, "limit": 100, "whose": "plan"}
    lent = replace(SETTINGS, published=frozenset({"pressure_high"}))
    assert look("pressure", today(2, pressure_mmhg=101), settings=lent).numbers["whose"] == (
        "published"
    )
    assert look("pressure", today(2, pressure_mmhg=200), settings=Settings(zone=CHICAGO)) is None


def test_passes_over_time() -> None:
    assert look("long_pass", today(1, passes=(10.0,))) is None
    found = look("long_pass", today(1, passes=(6.0, 14.0)))
    assert found is not None
    assert (found.numbers["n"], found.numbers["most"], found.numbers["limit"]) == (1, 14, 10)


def test_what_matters_most_comes_first() -> None:
    learner = Learner(SETTINGS)
    learner.fill([*usual_days(), *today(12, saline_drops=3, pressure_mmhg=120, odour="foul")])
    levels = [f.level for f in findings(View(learner, NOW))]
    assert levels == sorted(levels, key=["call", "look", "note"].index)
    assert levels[0] == "call"


def test_findings_need_an_aware_moment_only() -> None:
    learner = Learner(SETTINGS)
    learner.fill(usual_days())
    utc = datetime.fromisoformat("2026-02-10T05:30:00+00:00")
    assert findings(View(learner, utc)) == findings(View(learner, NOW))
