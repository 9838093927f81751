import pytest

from tests.dialogue.bedside import FULL_PLAN, MANNERS, NIGHT, Bedside, setting


def opened(**kwargs: object) -> Bedside:
    bed = Bedside(**kwargs)  # type: ignore[arg-type]
    bed.say(action="start_suction")
    return bed


def test_finish_sums_up_and_closes() -> None:
    bed = opened()
    bed.say(passes=2, colour="white", thickness="thick", saline_drops=3)
    assert bed.say(action="finish") == ["Saved: two passes, white, thick, three drops."]
    assert bed.kinds[-1] == "close"
    assert bed.state.suction is None
    assert bed.state.live == "idle"


def test_values_said_with_finish_come_first() -> None:
    bed = opened()
    assert bed.say(action="finish", passes=1, colour="clear", thickness="thin") == [
        "One pass, clear, thin. Saved.",
        "Saved: one pass, clear, thin.",
    ]
    assert bed.kinds == ["open", "values", "close"]


def test_what_is_missing_is_asked_for_one_by_one() -> None:
    bed = opened()
    assert bed.say(action="finish") == ["How many passes?"]
    assert bed.state.live == "asking"
    assert bed.state.expected == {"passes", "answer"}
    assert bed.say(passes=2) == ["Two passes. Saved.", "What colour?"]
    assert bed.say(colour="white") == ["White. Saved.", "Thin, normal, or thick?"]
    assert bed.say(thickness="thick") == [
        "Thick. Saved.",
        "Saved: two passes, white, thick.",
    ]


def test_an_answer_may_bring_the_other_values_along() -> None:
    bed = opened()
    bed.say(action="finish")
    said = bed.say(passes=2, colour="white", thickness="thick")
    assert said[-1] == "Saved: two passes, white, thick."


def test_skip_moves_on() -> None:
    bed = opened()
    bed.say(action="finish")
    assert bed.say(answer="skip") == ["What colour?"]
    assert bed.say(answer="skip") == ["Thin, normal, or thick?"]
    assert bed.say(answer="skip") == ["Closed. Nothing was logged."]


def test_no_answer_moves_on_after_a_while_and_each_is_asked_once() -> None:
    bed = opened()
    bed.say(spo2=95)
    bed.say(action="finish")
    assert bed.hear(60) == [
        "What colour?",
        "Thin, normal, or thick?",
        "Saved: sats ninety five.",
    ]


def test_finish_said_again_closes_without_more_questions() -> None:
    bed = opened()
    bed.say(action="finish")
    assert bed.say(action="finish") == ["Closed. Nothing was logged."]


def test_timed_passes_need_no_question_and_are_in_the_sum() -> None:
    bed = opened()
    for _ in range(2):
        bed.say(action="pass_start")
        bed.wait(5)
        bed.say(action="pass_end")
    bed.say(colour="white", thickness="thin")
    assert bed.say(action="finish") == ["Saved: two passes, white, thin."]


def test_the_plan_may_say_not_to_ask() -> None:
    plan = {**FULL_PLAN, "settings": {"ask_missing": False}}
    bed = opened(setting=setting(plan))
    bed.say(colour="white")
    assert bed.say(action="finish") == ["Saved: white."]


def test_what_is_asked_for_is_data() -> None:
    manners = MANNERS.model_copy(update={"required": ("amount", "odour")})
    bed = opened(setting=setting(manners=manners))
    assert bed.say(action="finish") == ["How much?"]
    assert bed.say(amount="small") == ["Small amount. Saved.", "Any smell?"]


def test_another_value_meanwhile_is_kept_and_the_question_waits() -> None:
    bed = opened()
    bed.say(action="finish")
    assert bed.say(spo2=95) == ["Sats ninety five. Saved."]
    assert bed.state.asking is not None
    assert bed.say(passes=1)[-1] == "What colour?"


def test_finish_with_nothing_open() -> None:
    assert Bedside().say(action="finish") == ["No suction is open."]


class TestLeftOpen:
    """Nobody speaks for minutes."""

    def test_it_is_asked_gently_once(self) -> None:
        bed = opened()
        assert bed.hear(295) == []
        assert bed.hear(10) == ["Still suctioning? Say finish when done."]
        assert bed.hear(300) == []

    def test_speaking_starts_the_wait_anew(self) -> None:
        bed = opened()
        bed.wait(250)
        bed.say(spo2=94)
        assert bed.hear(295) == []

    def test_words_without_meaning_do_not_keep_it_open(self) -> None:
        bed = opened()
        bed.wait(250)
        bed.mumble()
        assert bed.hear(60) == ["Still suctioning? Say finish when done."]

    def test_after_more_it_is_closed_as_incomplete_and_nothing_is_lost(self) -> None:
        bed = opened()
        bed.say(colour="white")
        assert bed.hear(901, step=10)[-1] == "Closed as not finished. Saved: white."
        assert bed.state.suction is None
        assert bed.kinds == ["open", "values", "values"]
        assert bed.rows[-1].entry.slots == {"ending": "incomplete"}
        assert bed.rows[-1].entry.procedure == bed.rows[0].uuid

    def test_with_nothing_said(self) -> None:
        assert opened().hear(901, step=10)[-1] == "Closed as not finished. Nothing was logged."

    def test_words_in_doubt_are_kept_when_it_closes(self) -> None:
        bed = opened()
        bed.doubt({"pressure_mmhg": 15}, {"pressure_mmhg": 50}, known={"colour": "white"})
        bed.wait(1000, step=1000)
        assert {"colour": "white"} in bed.stored
        assert bed.rows[-1].entry.slots == {"ending": "incomplete"}

    def test_a_count_in_doubt_is_kept_in_its_own_procedure(self) -> None:
        bed = opened()
        bed.say(action="pass_start")
        bed.wait(5)
        bed.say(action="pass_end")
        bed.say(passes=2)
        bed.wait(1000, step=1000)
        assert bed.kinds.count("open") == 1
        assert {"passes": 2} in bed.stored

    def test_a_running_pass_stops(self) -> None:
        bed = opened()
        bed.say(action="pass_start")
        bed.wait(1000, step=1000)
        assert bed.state.running is None

    def test_an_unsaved_value_is_still_tried(self) -> None:
        bed = opened()
        bed.failing = "disk_full"
        bed.say(colour="white")
        bed.wait(1000, step=10)
        bed.failing = ""
        assert "White. Saved." in bed.hear(60)
        assert bed.kinds == ["open", "values", "values"]


@pytest.mark.parametrize("start", [NIGHT])
def test_at_night_the_nudge_is_shorter(start: object) -> None:
    bed = opened(start=start)
    assert bed.hear(305) == ["Still suctioning?"]
    assert bed.lines[-1] == "    ~ Still suctioning?"


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"action": "emergency"}, "emergency time"),
        ({"action": "note", "note": "he slept"}, "note"),
        ({"action": "stoma_care"}, "stoma care"),
    ],
)
def test_what_was_logged_meanwhile_is_no_nothing(said: dict[str, str], told: str) -> None:
    bed = opened()
    bed.say(**said)
    closing = [*bed.say(action="finish"), *bed.say(action="finish")]
    assert f"Saved: {told}." in closing


def test_an_emergency_taken_back_is_nothing() -> None:
    bed = opened()
    bed.say(action="emergency")
    bed.say(action="undo")
    assert bed.say(action="finish") == ["Closed. Nothing was logged."]


def test_an_emergency_before_the_procedure_is_none_of_it() -> None:
    bed = Bedside()
    bed.say(action="emergency")
    bed.say(action="start_suction")
    assert bed.say(action="finish") == ["Closed. Nothing was logged."]
