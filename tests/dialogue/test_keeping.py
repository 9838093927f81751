import pytest

from tests.dialogue.bedside import BARE_PLAN, Bedside, setting
from voicelog.dialogue.record import caregiver_of


@pytest.mark.parametrize(
    ("action", "said"),
    [
        ("tube_change", "Tube change. Saved."),
        ("tie_change", "Tie change. Saved."),
        ("inner_cannula_change", "Inner tube change. Saved."),
        ("hme_change", "Filter change. Saved."),
        ("stoma_care", "Stoma care. Saved."),
        ("equipment_check", "Equipment check. Saved."),
        ("humidifier_clean", "Humidifier clean. Saved."),  # known to the grammar only
    ],
)
def test_things_done_are_events(action: str, said: str) -> None:
    bed = Bedside()
    assert bed.say(action=action) == [said]
    assert bed.rows[0].entry.kind == "event"
    assert bed.rows[0].entry.slots == {"action": action}


def test_values_said_with_an_event_stand_beside_it() -> None:
    bed = Bedside()
    bed.say(action="tube_change", spo2=95)
    assert bed.stored == [{"action": "tube_change"}, {"spo2": 95}]


def test_an_event_in_a_procedure_does_not_end_it() -> None:
    bed = Bedside()
    bed.say(action="start_suction")
    bed.say(action="tie_change")
    assert bed.state.suction is not None


class TestNote:
    """Free words."""

    def test_said_in_one_go(self) -> None:
        bed = Bedside()
        assert bed.say(action="note", note="he slept well") == ["Note: he slept well. Saved."]
        assert bed.rows[0].entry.text == "he slept well"
        assert bed.rows[0].entry.kind == "note"

    def test_asked_for(self) -> None:
        bed = Bedside()
        assert bed.say(action="note") == ["What is the note?"]
        assert bed.mumble("the pump made a noise") == ["Note: the pump made a noise. Saved."]
        assert bed.state.asking is None

    def test_words_that_would_be_values_are_the_note(self) -> None:
        bed = Bedside()
        bed.say(action="note")
        bed.say("sats were ninety two before", spo2=92)
        assert bed.kinds == ["note"]
        assert bed.rows[0].entry.text == "sats were ninety two before"

    def test_words_in_doubt_are_the_note(self) -> None:
        bed = Bedside()
        bed.say(action="note")
        bed.doubt({"spo2": 15}, {"spo2": 50}, text="about fifty")
        assert bed.rows[0].entry.text == "about fifty"

    def test_another_action_comes_first(self) -> None:
        bed = Bedside()
        bed.say(action="note")
        bed.say(action="start_suction")
        assert bed.kinds == ["open"]

    def test_skip_and_silence(self) -> None:
        bed = Bedside()
        bed.say(action="note")
        assert bed.say(answer="skip") == []
        bed.say(action="note")
        assert bed.hear(13) == []
        assert bed.state.asking is None
        assert bed.rows == []

    def test_braces_in_a_note_do_no_harm(self) -> None:
        assert Bedside().say(action="note", note="{what} {") == ["Note: {what} {. Saved."]


class TestWho:
    """Who speaks from now on."""

    def test_a_known_name(self) -> None:
        bed = Bedside()
        assert bed.say(action="who", caregiver="tom") == ["Tom now. Saved."]
        assert bed.rows[0].entry.slots == {"caregiver": "Tom"}
        assert caregiver_of(bed.state) == "Tom"

    def test_another_form_of_it(self) -> None:
        assert Bedside().say(action="who", caregiver="Mum") == ["Rosa now. Saved."]

    def test_a_name_without_the_action(self) -> None:
        assert Bedside().say(caregiver="dad") == ["Tom now. Saved."]

    def test_an_unknown_name_is_asked_about(self) -> None:
        bed = Bedside()
        assert bed.say(action="who", caregiver="sam") == ["I don't know that name. Rosa, or Tom?"]
        assert bed.state.expected == {"caregiver", "answer"}
        assert bed.say(caregiver="tom") == ["Tom now. Saved."]

    def test_no_name(self) -> None:
        bed = Bedside()
        assert bed.say(action="who") == ["Who is it? Rosa, or Tom?"]
        bed.say(caregiver="tom")
        assert bed.say(action="who") == ["Tom is logging.", "Who is it? Rosa, or Tom?"]

    def test_still_unknown_is_asked_again_and_then_left(self) -> None:
        bed = Bedside()
        bed.say(action="who")
        assert bed.say(caregiver="sam") == ["I don't know that name. Rosa, or Tom?"]
        assert bed.hear(13) == []
        assert bed.state.asking is None

    def test_no_names_in_the_plan(self) -> None:
        bed = Bedside(setting=setting(BARE_PLAN))
        said = bed.say(action="who", caregiver="sam")
        assert said == ["The plan names no caregivers. Add them to the plan."]
