from tests.dialogue.bedside import Bedside, spoken
from voicelog.dialogue import State
from voicelog.dialogue.events import CommitFailed, Committed
from voicelog.dialogue.outbox import KEPT
from voicelog.dialogue.record import caregiver_of


def opened() -> Bedside:
    bed = Bedside()
    bed.say(action="start_suction")
    return bed


def test_one_commit_at_a_time_in_order() -> None:
    bed = Bedside(holding=True)
    bed.say(action="start_suction")
    bed.say(colour="white")
    bed.say(spo2=94)
    assert [commit.entry.kind for commit in bed.held] == ["open"]
    bed.release()
    assert bed.kinds == ["open", "values", "values"]
    assert [row.entry.procedure for row in bed.rows[1:]] == [bed.rows[0].uuid] * 2


def test_each_reply_waits_for_its_own_commit() -> None:
    bed = opened()
    bed.holding = True
    assert bed.say(colour="white") == []
    assert bed.say(spo2=94) == []
    assert spoken(bed.release()) == ["White. Saved.", "Sats ninety four. Saved."]


def test_a_failure_says_why_and_how_to_mend_it() -> None:
    bed = opened()
    bed.failing = "disk_full"
    assert bed.say(colour="white") == ["Sorry. Not saved. The disk is full. Make some room."]


def test_a_reason_that_is_a_sentence_is_said_as_it_is() -> None:
    bed = opened()
    bed.failing = "The journal is on a network disk. Move it."
    assert bed.say(colour="white") == [
        "Sorry. Not saved. The journal is on a network disk. Move it."
    ]


def test_a_value_out_of_range_is_said_even_when_it_is_not_saved() -> None:
    bed = opened()
    bed.failing = "read_only"
    assert bed.say(spo2=80)[1] == "Sats 80 are below the plan's 92."


def test_it_stays_known_as_unsaved() -> None:
    bed = opened()
    bed.failing = "disk_full"
    bed.say(colour="white")
    assert [item.entry.slots for item in bed.state.queue] == [{"colour": "white"}]
    assert State.model_validate_json(bed.state.model_dump_json()).queue == bed.state.queue


def test_the_next_words_try_it_again_first() -> None:
    bed = opened()
    bed.failing = "disk_full"
    bed.say(colour="white")
    assert bed.say(spo2=94) == ["Sorry. Not saved. The disk is full. Make some room."]
    bed.failing = ""
    assert bed.say(heart_rate=120) == [
        "White. Saved.",
        "Sats ninety four. Saved.",
        "Heart rate one hundred twenty. Saved.",
    ]


def test_it_is_tried_quietly_now_and_then() -> None:
    bed = opened()
    bed.failing = "disk_full"
    bed.say(colour="white")
    assert bed.hear(100) == []
    bed.failing = ""
    assert bed.hear(31) == ["White. Saved."]


def test_a_procedure_whose_opening_failed_is_saved_whole_later() -> None:
    bed = Bedside()
    bed.failing = "busy"
    bed.say(action="start_suction")
    bed.say(passes=1, colour="white", thickness="thin")
    assert bed.say(action="finish")[0].startswith("Sorry. Not saved.")
    bed.failing = ""
    bed.wait(40)
    assert bed.kinds == ["open", "values", "close"]
    assert spoken(bed.actions)[-1] == "Saved: one pass, white, thin."


def test_a_slow_save_is_mentioned_once() -> None:
    bed = opened()
    bed.holding = True
    bed.say(colour="white")
    assert bed.hear(2) == []
    assert bed.hear(10) == ["Please wait. Not saved yet."]
    assert spoken(bed.release()) == ["White. Saved."]


def test_an_answer_for_an_unknown_token_is_passed_over() -> None:
    bed = opened()
    row = bed.rows[0]
    before = bed.state
    assert bed.send(Committed(at=bed.at, now=bed.now, token="t999", row=row)) == []
    assert bed.send(CommitFailed(at=bed.at, now=bed.now, token="t999", reason="x")) == []
    assert bed.state == before


def test_a_token_is_answered_once() -> None:
    bed = opened()
    bed.holding = True
    bed.say(colour="white")
    [commit] = bed.held
    bed.release()
    again = Committed(at=bed.at, now=bed.now, token=commit.token, row=bed.rows[-1])
    assert bed.send(again) == []


def test_memory_stays_small_over_many_nights() -> None:
    bed = Bedside()
    bed.say(action="who", caregiver="tom")
    for count in range(300):
        bed.say(spo2=90 + count % 10)
        bed.say(colour="white", passes=count % 3, after=60)
    assert len(bed.rows) == 1 + 300 * 4
    assert len(bed.state.log) <= 2 * KEPT + 4
    assert caregiver_of(bed.state) == "Tom"
    assert bed.say(action="undo") == ["Undone: two passes, white."]


def test_a_very_long_procedure_keeps_its_opening() -> None:
    bed = opened()
    for count in range(500):
        bed.say(spo2=90 + count % 10)
    assert bed.rows[-1].entry.procedure == bed.rows[0].uuid
    assert bed.say(action="finish")[-1] == "How many passes?"


def test_what_waits_behind_an_unsaved_entry_is_warned_about_too_and_once() -> None:
    bed = opened()
    bed.failing = "disk_full"
    bed.say(colour="white")
    assert bed.say(spo2=80)[1:] == ["Sats 80 are below the plan's 92."]
    assert len(bed.say(heart_rate=120)) == 1
    bed.failing = ""
    assert bed.hear(31) == [
        "White. Saved.",
        "Sats eighty. Saved.",
        "Heart rate one hundred twenty. Saved.",
    ]


def test_entries_that_fail_together_are_one_piece_of_news() -> None:
    bed = Bedside()
    bed.failing = "disk_full"
    bed.say(action="start_suction")
    said = bed.say(action="emergency")
    assert said[1:] == [
        "Sorry. Emergency time not saved. Write down 14:00. The disk is full. Make some room."
    ]
