import pytest

from tests.dialogue.bedside import BARE_PLAN, NIGHT, Bedside, setting
from voicelog.dialogue.actions import Commit, Say

WORDS = "Follow the emergency plan. Call 9 1 1. Time noted 14:00."


NOT_SAVED = "Sorry. Emergency time not saved. Write down"


def idle() -> Bedside:
    return Bedside()


def opened() -> Bedside:
    bed = Bedside()
    bed.say(action="start_suction")
    return bed


def passing() -> Bedside:
    bed = opened()
    bed.say(action="pass_start")
    return bed


def asked() -> Bedside:
    bed = opened()
    bed.doubt({"spo2": 60}, {"spo2": 66})
    return bed


def finishing() -> Bedside:
    bed = opened()
    bed.say(action="finish")
    return bed


def awake() -> Bedside:
    bed = Bedside()
    bed.say("bedside log")
    return bed


def noting() -> Bedside:
    bed = Bedside()
    bed.say(action="note")
    return bed


def naming() -> Bedside:
    bed = Bedside()
    bed.say(action="who")
    return bed


def reminded() -> Bedside:
    bed = Bedside()
    bed.due("tie_change")
    return bed


def unsaved() -> Bedside:
    bed = opened()
    bed.failing = "disk_full"
    bed.say(colour="white")
    return bed


@pytest.mark.parametrize(
    "make",
    [idle, opened, passing, asked, finishing, awake, noting, naming, reminded, unsaved],
)
def test_in_every_state_the_number_is_said_at_once(make: object) -> None:
    bed = make()  # type: ignore[operator]
    bed.holding = True
    before = len(bed.actions)
    bed.say(action="emergency", after=0.5)
    first, second, *_ = bed.actions[before:]
    assert first == Say(WORDS, "normal", urgent=True)
    assert isinstance(second, Commit)
    assert second.entry.kind == "emergency"
    assert not any("Saved" in a.text for a in bed.actions[before:] if isinstance(a, Say))


@pytest.mark.parametrize(
    "make", [idle, opened, passing, asked, finishing, awake, noting, naming, reminded]
)
def test_it_is_stored_and_only_then_said_to_be(make: object) -> None:
    bed = make()  # type: ignore[operator]
    bed.holding = True
    bed.say(action="emergency", after=0.5)
    said = [action.text for action in bed.release() if isinstance(action, Say)]
    assert "Emergency time saved." in said
    assert "emergency" in bed.kinds


def test_it_goes_past_entries_that_wait() -> None:
    bed = opened()
    bed.holding = True
    bed.say(colour="white")
    bed.say(action="emergency")
    assert [commit.entry.kind for commit in bed.held] == ["values", "emergency"]
    assert bed.held[1].entry.procedure == bed.rows[0].uuid


def test_before_its_procedure_is_stored_it_stands_alone() -> None:
    bed = Bedside(holding=True)
    bed.say(action="start_suction")
    bed.say(action="emergency")
    assert bed.held[1].entry.procedure is None


def test_undone_before_it_is_stored_it_is_undone_after() -> None:
    bed = Bedside(holding=True)
    bed.say(action="emergency")
    bed.say(action="undo")
    assert [commit.entry.kind for commit in bed.held] == ["emergency"]
    bed.release()
    assert bed.kinds == ["emergency", "undo"]
    assert bed.rows[1].entry.target == bed.rows[0].uuid


def test_not_saved_is_said_and_it_is_tried_again() -> None:
    bed = opened()
    bed.failing = "disk_full"
    said = bed.say(action="emergency")
    assert said == [WORDS, f"{NOT_SAVED} 14:00. The disk is full. Make some room."]
    bed.failing = ""
    assert bed.hear(31) == ["Emergency time saved."]
    assert "emergency" in bed.kinds


def test_the_time_to_write_down_is_said_whatever_failed_before() -> None:
    bed = opened()
    bed.failing = "disk_full"
    bed.say(colour="white")
    said = bed.say(action="emergency", after=0.1)
    assert said[-1].startswith(NOT_SAVED)
    assert bed.say(spo2=94)[0].startswith("Sorry. Not saved."), "it is no news any more"


def test_a_plan_without_a_number() -> None:
    bed = Bedside(setting=setting(BARE_PLAN))
    said = bed.say(action="emergency")
    assert said[0] == "Follow the emergency plan. Call the emergency number. Time noted 14:00."


def test_a_long_number_is_said_digit_by_digit() -> None:
    bed = Bedside(setting=setting({**BARE_PLAN, "phones": {"emergency": "+44 555-0142"}}))
    assert "Call 4 4, 5 5 5, 0 1 4 2." in bed.say(action="emergency")[0]


def test_it_is_never_quiet() -> None:
    bed = Bedside(start=NIGHT)
    bed.say(action="emergency")
    assert bed.actions[0] == Say(
        "Follow the emergency plan. Call 9 1 1. Time noted 02:14.", "normal", urgent=True
    )


def test_values_said_with_it_are_kept() -> None:
    bed = opened()
    bed.say(action="emergency", spo2=70)
    assert bed.kinds == ["open", "emergency", "values"]


def test_in_doubt_it_counts_as_one() -> None:
    bed = opened()
    said = bed.doubt({"action": "emergency"}, {"action": "equipment_check"}, known={"spo2": 80})
    assert said[0] == WORDS
    assert bed.kinds == ["open", "emergency", "values"]


def test_nothing_is_asked_or_reminded_for_a_while() -> None:
    bed = opened()
    bed.say(colour="white")
    bed.say(action="emergency")
    bed.due("tie_change")
    assert bed.mumble() == []
    assert bed.say(action="finish") == ["Saved: white."]
    assert bed.hear(100) == []
    assert bed.hear(30) == ["Tie change is due."]


def test_an_open_question_is_not_put_again_and_what_was_clear_is_kept() -> None:
    bed = opened()
    bed.doubt({"spo2": 60}, {"spo2": 66}, known={"colour": "white"})
    bed.say(action="emergency")
    assert "Sixty, or sixty six?" not in bed.hear(30)
    assert {"colour": "white"} in bed.stored


def test_nothing_is_coached() -> None:
    """The words point to the plan and the number, and to nothing that one might do."""
    text = Bedside().say(action="emergency")[0]
    assert text == WORDS
