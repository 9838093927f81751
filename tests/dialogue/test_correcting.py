from tests.dialogue.bedside import Bedside
from voicelog.dialogue.record import caregiver_of


def opened() -> Bedside:
    bed = Bedside()
    bed.say(action="start_suction")
    return bed


class TestCorrect:
    """Change colour to yellow."""

    def test_it_is_a_new_row_about_the_row_that_holds_the_slot(self) -> None:
        bed = opened()
        bed.say(colour="white", thickness="thick")
        bed.say(spo2=94)
        assert bed.say(action="correct", colour="yellow") == ["Yellow, was white. Saved."]
        row = bed.rows[-1].entry
        assert row.kind == "correct"
        assert row.slots == {"colour": "yellow"}
        assert row.target == bed.rows[1].uuid
        assert row.procedure == bed.rows[0].uuid

    def test_the_sum_holds_the_new_value_and_leaves_the_others(self) -> None:
        bed = opened()
        bed.say(passes=2, colour="white")
        bed.say(passes=3, thickness="thin")
        bed.say(action="correct", colour="yellow")
        assert bed.say(action="finish") == ["Saved: three passes, yellow, thin."]

    def test_a_correction_is_itself_corrected(self) -> None:
        bed = opened()
        bed.say(colour="white")
        bed.say(action="correct", colour="yellow")
        assert bed.say(action="correct", colour="green") == ["Green, was yellow. Saved."]
        assert bed.rows[-1].entry.target == bed.rows[1].uuid

    def test_values_from_several_rows_are_read_back_together(self) -> None:
        bed = opened()
        bed.say(colour="white")
        bed.say(thickness="thick")
        said = bed.say(action="correct", colour="yellow", thickness="thin")
        assert said == ["Yellow, was white, thin, was thick. Saved."]
        assert [row.entry.target for row in bed.rows[3:]] == [bed.rows[1].uuid, bed.rows[2].uuid]

    def test_the_last_procedure_is_meant_when_none_is_open(self) -> None:
        bed = Bedside()
        bed.say(passes=2, colour="white")
        bed.wait(600, step=60)
        assert bed.say(action="correct", colour="yellow") == ["Yellow, was white. Saved."]
        assert bed.rows[-1].entry.procedure == bed.rows[0].uuid

    def test_not_one_before_the_last(self) -> None:
        bed = Bedside()
        bed.say(colour="white")
        bed.say(passes=2)
        assert bed.say(action="correct", colour="yellow") == ["There is no colour to change."]
        assert "correct" not in bed.kinds

    def test_in_an_open_procedure_a_new_value_is_simply_new(self) -> None:
        bed = opened()
        assert bed.say(action="correct", colour="yellow") == ["Yellow. Saved."]
        assert bed.kinds == ["open", "values"]

    def test_a_reading_on_its_own_may_be_changed(self) -> None:
        bed = Bedside()
        bed.say(spo2=94)
        assert bed.say(action="correct", spo2=95) == ["Sats ninety five, was ninety four. Saved."]

    def test_the_time_of_a_pass_may_be_changed(self) -> None:
        bed = opened()
        bed.say(action="pass_start")
        bed.wait(5)
        bed.say(action="pass_end", after=0)
        said = bed.say(action="correct", pass_seconds=7.0)
        assert said == ["Seven seconds, was five. Saved."]
        assert bed.rows[-1].entry.target == bed.rows[1].uuid
        bed.say(colour="white", thickness="thin")
        assert bed.say(action="finish") == ["Saved: one pass, white, thin."]

    def test_a_changed_value_out_of_range_is_said(self) -> None:
        bed = opened()
        bed.say(pressure_mmhg=90)
        said = bed.say(action="correct", pressure_mmhg=120)
        assert said[1] == "Pressure 120 is above the plan's 100."

    def test_without_a_value(self) -> None:
        assert opened().say(action="correct") == ["Say change, then the new value."]

    def test_in_doubt_both_new_values_are_named(self) -> None:
        bed = opened()
        bed.say(colour="white")
        said = bed.doubt(
            {"action": "correct", "colour": "blood-tinged"},
            {"action": "correct", "colour": "red"},
            known={"action": "correct"},
        )
        assert said == ["Blood-tinged, or red?"]
        assert bed.say(answer="second") == ["Red, was white. Saved."]
        assert bed.rows[-1].entry.kind == "correct"


class TestUndo:
    """Take back the last thing, and name it."""

    def test_values(self) -> None:
        bed = opened()
        bed.say(colour="white", thickness="thick")
        assert bed.say(action="undo") == ["Undone: white, thick."]
        row = bed.rows[-1].entry
        assert (row.kind, row.target) == ("undo", bed.rows[1].uuid)

    def test_again_goes_further_back(self) -> None:
        bed = opened()
        bed.say(colour="white")
        bed.say(spo2=94)
        bed.say(action="undo")
        assert bed.say(action="undo") == ["Undone: white."]
        assert bed.say(action="undo") == ["Undone: start of suction."]
        assert bed.state.suction is None
        assert bed.say(action="undo") == ["Nothing to undo."]

    def test_an_undone_value_is_missing_again(self) -> None:
        bed = opened()
        bed.say(passes=1, colour="white", thickness="thin")
        bed.say(action="undo")
        assert bed.say(action="finish") == ["How many passes?"]

    def test_a_pass(self) -> None:
        bed = opened()
        bed.say(action="pass_start")
        bed.wait(5)
        bed.say(action="pass_end", after=0)
        assert bed.say(action="undo") == ["Undone: five seconds."]

    def test_a_correction_brings_the_old_value_back(self) -> None:
        bed = opened()
        bed.say(passes=1, colour="white", thickness="thin")
        bed.say(action="correct", colour="yellow")
        assert bed.say(action="undo") == ["Undone: change, yellow."]
        assert bed.say(action="finish") == ["Saved: one pass, white, thin."]

    def test_finish_opens_the_procedure_again(self) -> None:
        bed = opened()
        bed.say(passes=1, colour="white", thickness="thin")
        bed.say(action="finish")
        assert bed.say(action="undo") == ["Undone: finish."]
        assert bed.state.live == "open"
        bed.say(spo2=95)
        assert bed.rows[-1].entry.procedure == bed.rows[0].uuid
        assert bed.say(action="finish") == ["Saved: one pass, white, thin, sats ninety five."]

    def test_a_procedure_told_as_a_whole_goes_as_a_whole(self) -> None:
        bed = Bedside()
        bed.say(passes=2, colour="white")
        assert bed.say(action="undo") == ["Undone: two passes, white."]
        assert bed.kinds[3:] == ["undo", "undo", "undo"]
        assert {row.entry.target for row in bed.rows[3:]} == {row.uuid for row in bed.rows[:3]}
        assert bed.state.suction is None

    def test_other_kinds_are_named(self) -> None:
        bed = Bedside()
        for said, undone in [
            ({"action": "tie_change"}, "Undone: tie change."),
            ({"action": "note", "note": "slept well"}, "Undone: note."),
            ({"action": "who", "caregiver": "tom"}, "Undone: caregiver."),
            ({"action": "emergency"}, "Undone: emergency time."),
        ]:
            bed.say(**said)
            assert bed.say(action="undo") == [undone]

    def test_new_values_may_follow_at_once(self) -> None:
        bed = opened()
        bed.say(colour="white")
        assert bed.say(action="undo", colour="yellow") == ["Undone: white.", "Yellow. Saved."]

    def test_what_is_still_on_its_way_is_undone_after_it(self) -> None:
        bed = opened()
        bed.holding = True
        bed.say(colour="white")
        bed.say(action="undo")
        assert len(bed.held) == 1
        bed.release()
        assert bed.kinds == ["open", "values", "undo"]
        assert bed.rows[2].entry.target == bed.rows[1].uuid

    def test_of_the_closing_as_incomplete_opens_it_again(self) -> None:
        bed = opened()
        bed.wait(901, step=10)
        assert bed.say(action="undo") == ["Undone: finish."]
        assert bed.state.suction is not None

    def test_who_spoke_before_speaks_again(self) -> None:
        bed = Bedside()
        bed.say(action="who", caregiver="mum")
        bed.say(action="who", caregiver="tom")
        assert caregiver_of(bed.state) == "Tom"
        bed.say(action="undo")
        assert caregiver_of(bed.state) == "Rosa"
