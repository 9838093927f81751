import pytest

from tests.dialogue.bedside import NIGHT, Bedside
from voicelog.dialogue.actions import Reminded, Report, Say, Snooze


def opened() -> Bedside:
    bed = Bedside()
    bed.say(action="start_suction")
    return bed


class TestRepeat:
    """Say again."""

    def test_the_last_reply(self) -> None:
        bed = opened()
        bed.say(pressure_mmhg=130)
        words = "Pressure one hundred thirty. Saved. Pressure 130 is above the plan's 100."
        assert bed.say(action="repeat") == [words]
        assert bed.say(action="repeat") == [words]

    def test_nothing_said_yet(self) -> None:
        assert Bedside().say(action="repeat") == ["Nothing to repeat."]

    def test_a_question_stays_open(self) -> None:
        bed = opened()
        bed.doubt({"spo2": 60}, {"spo2": 66})
        assert bed.say(action="repeat") == ["Sixty, or sixty six?"]
        assert bed.say(answer="first")[0] == "Sats sixty. Saved."


def test_help_is_short_and_fits_the_moment() -> None:
    bed = Bedside()
    idle = bed.say(action="help")
    bed.say(action="start_suction")
    opened_ = bed.say(action="help")
    bed.say(action="finish")
    asking = bed.say(action="help")
    assert len({*idle, *opened_, *asking}) == 3
    assert "start suction" in idle[0]
    assert "finish" in opened_[0]
    assert "skip" in asking[0]


def test_a_summary_is_the_journals_and_said_when_it_comes() -> None:
    bed = Bedside()
    bed.say(action="summary")
    assert bed.actions == [Report("summary")]
    assert bed.answered("Three suctions today.") == ["Three suctions today."]
    assert bed.say(action="repeat") == ["Three suctions today."]


class TestGently:
    """Words without meaning."""

    def test_silence_when_idle(self) -> None:
        assert Bedside().mumble() == []

    def test_once_in_ten_seconds_in_a_procedure(self) -> None:
        bed = opened()
        said = [bed.mumble(after=2) for _ in range(11)]
        assert [len(texts) for texts in said] == [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]
        assert said[0] == ["I didn't catch that."]

    def test_after_the_wake_phrase(self) -> None:
        bed = Bedside()
        bed.say("bedside log")
        assert bed.mumble() == ["I didn't catch that."]

    def test_shorter_at_night(self) -> None:
        bed = Bedside(start=NIGHT)
        bed.say(action="start_suction")
        assert bed.mumble() == ["Say again?"]


class TestReminders:
    """Due things."""

    def test_said_when_nothing_else_goes_on(self) -> None:
        bed = Bedside()
        assert bed.due("tie_change") == ["Tie change is due."]
        assert bed.state.live == "asking"

    def test_with_words_of_its_own(self) -> None:
        assert Bedside().due("recheck") == ["Time to check again."]

    def test_with_a_sentence_that_came_with_it(self) -> None:
        bed = Bedside()
        assert bed.due("order:catheters", "Order catheters. Five left.") == [
            "Order catheters. Five left."
        ]
        assert Reminded("order:catheters") in bed.actions
        bed.say(answer="later")
        assert Snooze("order:catheters", 30) in bed.actions

    def test_it_counts_as_said_only_when_it_is(self) -> None:
        bed = opened()
        bed.due("tie_change")
        assert Reminded("tie_change") not in bed.actions

    def test_never_while_a_procedure_is_open(self) -> None:
        bed = opened()
        assert bed.due("tie_change") == []
        bed.say(passes=1, colour="white", thickness="thin")
        bed.say(action="finish")
        assert "    - Tie change is due." in bed.lines

    def test_the_procedure_is_closed_before_it_is_said(self) -> None:
        bed = opened()
        bed.due("tie_change")
        bed.say(passes=1, colour="white", thickness="thin")
        said = bed.say(action="finish")
        assert said == ["Saved: one pass, white, thin.", "Tie change is due."]

    def test_later_snoozes(self) -> None:
        bed = Bedside()
        bed.due("tie_change")
        assert bed.say(answer="later") == ["Again in thirty minutes."]
        assert Snooze("tie_change", 30) in bed.actions
        assert bed.state.asking is None

    def test_doing_it_answers_it(self) -> None:
        bed = Bedside()
        bed.due("tie_change")
        assert bed.say(action="tie_change") == ["Tie change. Saved."]
        assert bed.state.asking is None

    def test_no_answer_is_fine(self) -> None:
        bed = Bedside()
        bed.due("tie_change")
        assert bed.hear(60) == []
        assert bed.state.live == "idle"

    def test_the_same_one_twice_is_said_once(self) -> None:
        bed = opened()
        bed.due("tie_change")
        bed.due("tie_change")
        assert [waiting.reminder for waiting in bed.state.reminders] == ["tie_change"]

    def test_one_at_a_time(self) -> None:
        bed = Bedside()
        bed.due("tie_change")
        assert bed.due("hme_change") == []
        assert bed.say(answer="later") == ["Again in thirty minutes.", "Filter change is due."]

    def test_quiet_at_night(self) -> None:
        bed = Bedside(start=NIGHT)
        bed.due("recheck")
        assert bed.actions[0] == Say("Time to check again.", "quiet")


class TestFaults:
    """Broken things."""

    @pytest.mark.parametrize("kind", ["microphone", "speaker", "recogniser", "storage", "clock"])
    def test_each_has_words(self, kind: str) -> None:
        [text] = Bedside().fault(kind)
        assert text != "Something is wrong. Look at the screen."

    def test_an_unknown_one_is_still_said(self) -> None:
        assert Bedside().fault("gremlins") == ["Something is wrong. Look at the screen."]

    def test_not_over_and_over(self) -> None:
        bed = Bedside()
        assert len(bed.fault("microphone")) == 1
        assert bed.fault("microphone", after=30) == []
        assert len(bed.fault("speaker")) == 1
        assert len(bed.fault("microphone", after=60)) == 1


class TestKeys:
    """Keys and pedals stand for words."""

    def test_one_key_for_in_and_out(self) -> None:
        bed = opened()
        bed.key("pass")
        bed.wait(5)
        assert bed.key("pass", after=0) == ["Pass one, five seconds. Saved."]
        assert bed.rows[-1].heard.text == "pass"

    def test_an_action(self) -> None:
        assert Bedside().key("tie_change") == ["Tie change. Saved."]

    def test_an_answer(self) -> None:
        bed = opened()
        bed.doubt({"spo2": 60}, {"spo2": 66})
        assert bed.key("second")[0] == "Sats sixty six. Saved."

    def test_an_unknown_key_does_nothing(self) -> None:
        bed = Bedside()
        assert bed.key("f13") == []
        assert bed.rows == []
