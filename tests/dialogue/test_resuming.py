"""A restart in the middle: the state is rebuilt from the journal's rows."""

from datetime import UTC
from zoneinfo import ZoneInfo

from tests.dialogue.bedside import Bedside, uuid_of
from voicelog.dialogue import State, resume
from voicelog.dialogue.record import caregiver_of, open_passes, open_slots
from voicelog.entries import Entry


def restarted(bed: Bedside, after: float = 5.0) -> Bedside:
    """Start again with another clock, knowing only the rows."""
    rows = [row.model_copy(update={"utc": row.utc.astimezone(UTC)}) for row in bed.rows]
    later = Bedside(start=bed.now, at=7.0)
    later.rows = rows
    later.at += after
    later.state = resume(rows, later.at, later.now)
    later.begin()
    return later


def worked() -> Bedside:
    bed = Bedside()
    bed.say(action="start_suction")
    bed.say(action="pass_start")
    bed.wait(5)
    bed.say(action="pass_end", after=0)
    bed.say(colour="white", thickness="thick")
    return bed


def test_an_open_procedure_goes_on() -> None:
    bed = restarted(worked())
    assert bed.lines[1] == "    - Suction is still open, since 14:00."
    assert bed.lines[2] == "    * listen: open"
    bed.say(spo2=95)
    assert bed.rows[-1].entry.procedure == bed.rows[0].uuid
    assert bed.say(action="finish") == ["Saved: one pass, white, thick, sats ninety five."]


def test_what_is_known_is_the_same_as_before() -> None:
    before = worked()
    after = restarted(before)
    assert open_slots(after.state) == open_slots(before.state)
    assert open_passes(after.state) == open_passes(before.state)


def test_undo_and_change_reach_back() -> None:
    bed = restarted(worked())
    assert bed.say(action="correct", colour="yellow") == ["Yellow, was white. Saved."]
    assert bed.rows[-1].entry.target == bed.rows[2].uuid
    assert bed.say(action="undo") == ["Undone: change, yellow."]
    assert bed.say(action="undo") == ["Undone: white, thick."]


def test_undone_rows_stay_undone() -> None:
    bed = worked()
    bed.say(action="undo")
    assert "colour" not in open_slots(restarted(bed).state)


def test_a_closed_procedure_is_not_open() -> None:
    bed = worked()
    bed.say(action="finish")
    later = restarted(bed)
    assert later.state.suction is None
    assert later.lines[1:] == ["    * listen: idle"]
    assert later.say(action="correct", colour="yellow") == ["Yellow, was white. Saved."]


def test_an_undone_closing_leaves_it_open() -> None:
    bed = worked()
    bed.say(action="finish")
    bed.say(action="undo")
    assert restarted(bed).state.suction is not None


def test_an_undone_opening_leaves_nothing_open() -> None:
    bed = Bedside()
    bed.say(action="start_suction")
    bed.say(action="undo")
    assert restarted(bed).state.suction is None


def test_one_closed_as_incomplete_is_not_open() -> None:
    bed = worked()
    bed.wait(1000, step=10)
    assert restarted(bed).state.suction is None


def test_one_left_open_long_ago_is_closed_as_incomplete() -> None:
    bed = restarted(worked(), after=7200)
    assert bed.hear(1) == ["Closed as not finished. Saved: one pass, white, thick."]
    assert bed.rows[-1].entry.procedure == bed.rows[0].uuid


def test_the_caregiver_is_known() -> None:
    bed = Bedside()
    bed.say(action="who", caregiver="tom")
    assert caregiver_of(restarted(bed).state) == "Tom"


def test_rows_from_the_middle_of_a_procedure_do_no_harm() -> None:
    bed = worked()
    later = restarted(bed)
    later.state = resume(later.rows[2:], later.at, later.now)
    assert later.state.suction is None
    assert later.say(spo2=94) == ["Sats ninety four. Saved."]


def test_no_rows() -> None:
    bed = Bedside()
    assert resume([], bed.at, bed.now) == State()


def test_times_are_local_again() -> None:
    bed = restarted(worked())
    assert bed.state.suction is not None
    assert bed.state.suction.started.tzinfo == ZoneInfo("America/Chicago")


def test_the_whole_state_survives_json() -> None:
    bed = worked()
    bed.doubt({"spo2": 60}, {"spo2": 66}, known={"depth_cm": 6.0})
    bed.due("tie_change")
    bed.fault("microphone")
    bed.holding = True
    bed.say(action="pass_start")
    bed.say(heart_rate=120)
    assert State.model_validate_json(bed.state.model_dump_json()) == bed.state


def test_rows_about_reminders_are_not_undone() -> None:
    bed = worked()
    said = Entry(kind="event", slots={"reminder": "said", "reminder_key": "recheck:colour"})
    bed.rows.append(bed.rows[-1].model_copy(update={"uuid": uuid_of(99), "entry": said}))
    assert restarted(bed).say(action="undo") == ["Undone: white, thick."]
