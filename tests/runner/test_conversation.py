"""What is said and what is stored, in which order; a failing disk; open questions."""

import re
import tempfile
from contextlib import AbstractContextManager
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.dialogue.bedside import DAY
from tests.journal.disk import FULL, available, faulty_disk
from tests.runner.bedroom import Bedroom, bedroom
from voicelog.entries import Row, Slots
from voicelog.grammar import Grammar
from voicelog.journal import Journal
from voicelog.journal.errors import (
    JournalBusyError,
    JournalDamagedError,
    JournalError,
    JournalFullError,
    JournalReadOnlyError,
)
from voicelog.recognition.protocol import Recognition

SAVED = re.compile(r"(?<!not )\bsaved\b(?! yet)", re.IGNORECASE)
"""A claim that something is stored, and not "Not saved", "Dropped, not saved"."""


def claims(text: str) -> bool:
    return SAVED.search(text) is not None


def ask(known: Slots, *others: Slots) -> Recognition:
    return Recognition(
        outcome="ask", slots=known, alternatives=others, text="in doubt", confidence=0.6
    )


NOT_UNDERSTOOD = Recognition(outcome="not_understood", text="the moon")


def test_what_counts_as_a_claim() -> None:
    for text in ("Two passes. Saved.", "Saved: white.", "Emergency time saved."):
        assert claims(text)
    for text in ("Not saved. The disk is full.", "Please wait. Not saved yet.", "Undone: finish."):
        assert not claims(text)


def test_the_journal_comes_before_the_word(room: Bedroom) -> None:
    room.hear("start suction")
    room.hear("two passes, white, thick, three drops")
    begin = room.log.index(("heard", "two passes, white, thick, three drops"))
    assert room.log[begin + 1 :] == [
        ("stored", "values"),
        ("say", "Two passes, white, thick, three drops. Saved."),
    ]


@settings(max_examples=8)
@given(seed=st.integers(0, 10**6), failing=st.lists(st.booleans(), min_size=8, max_size=8))
def test_nothing_is_called_saved_before_its_append_returned(
    english: Grammar, seed: int, failing: list[bool]
) -> None:
    """Any sentences of the grammar, with a disk that comes and goes between them."""
    rng = Random(seed)
    with (
        tempfile.TemporaryDirectory() as folder,
        bedroom(Path(folder) / "journal.sqlite", english) as room,
    ):
        room.hear("start suction")
        for bad in failing:
            room.journal.failing = JournalFullError("the journal") if bad else None
            text, slots = english.sample(rng)
            if slots.get("action") != "repeat":  # that says an old reply again
                room.hear(text, after=rng.uniform(1, 15))
        ready = 0
        for what, text in room.log:
            if what == "heard":
                ready = 0  # what an earlier sentence stored is no ground to claim this one is
            elif what == "stored":
                ready += 1
            elif what == "say" and claims(text):
                ready -= 1
                assert ready >= 0, room.log


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (JournalFullError("/x/journal"), "Sorry. Not saved. The disk is full. Make some room."),
        (JournalReadOnlyError("/x/journal"), "Sorry. Not saved. The log file is locked."),
        (JournalBusyError("/x/journal"), "Sorry. Not saved. Another program holds the log."),
        (JournalDamagedError("/x/journal", "bad"), "Sorry. Not saved. Write it down on paper."),
    ],
    ids=lambda value: type(value).__name__ if isinstance(value, JournalError) else "",
)
def test_a_failing_journal_is_told(room: Bedroom, error: JournalError, told: str) -> None:
    room.hear("start suction")
    room.journal.failing = error
    replies = room.hear("two passes")
    assert replies[0].startswith(told)
    assert not any(map(claims, replies))
    assert not any("/x/journal" in reply for reply in replies), "paths are for the screen"
    assert room.trouble == [str(error)]
    assert room.stored == []
    assert [item.entry.slots for item in room.talk.unsaved] == [{"passes": 2}]


def test_what_failed_is_stored_once_when_the_disk_is_back(room: Bedroom) -> None:
    room.hear("start suction")
    room.journal.failing = JournalFullError("the journal")
    room.hear("two passes")
    room.journal.failing = None
    replies = room.wait(31)  # tried again by itself
    assert replies == ["Two passes. Saved."]
    assert room.stored == [{"passes": 2}]
    assert room.talk.unsaved == ()


def test_what_is_stored_late_keeps_the_time_it_was_said_and_who_said_it(room: Bedroom) -> None:
    room.hear("start suction")
    room.hear("this is Rosa")
    room.journal.failing = JournalFullError("the journal")
    room.hear("two passes")
    said = room.clock.now()
    room.hear("this is Tom")
    room.journal.failing = None
    room.wait(31)
    late, turn = list(room.journal.rows())[-2:]
    assert (late.entry.slots, late.utc, late.caregiver) == ({"passes": 2}, said, "Rosa")
    assert (turn.entry.slots, turn.caregiver) == ({"caregiver": "Tom"}, "Tom")


@pytest.mark.skipif(not available(), reason="needs SQLite as a shared library on Linux")
def test_a_disk_that_is_really_full_harms_nothing_earlier(tmp_path: Path, english: Grammar) -> None:
    """SQLite itself is refused each write, as by a full disk."""
    path = tmp_path / "journal.sqlite"
    with faulty_disk() as faults, bedroom(path, english) as room:
        room.hear("start suction")
        room.hear("two passes, white")
        before = [row.model_dump() for row in room.journal.rows()]
        faults.before_write = lambda _, __: (0, FULL)
        replies = room.hear("pressure one ten")
        assert replies[0] == "Sorry. Not saved. The disk is full. Make some room."
        assert not any(map(claims, replies))
        faults.before_write = lambda _, size: (size, 0)
        assert [row.model_dump() for row in room.journal.rows()] == before
    with Journal.open(path, child="Juniper", read_only=True) as journal:
        assert journal.verify().ok
        assert [row.model_dump() for row in journal.rows()] == before


def test_a_question_keeps_what_was_clear(room: Bedroom) -> None:
    room.hear("start suction")
    doubt = ask(
        {"passes": 2, "colour": "white"},
        {"passes": 2, "colour": "white", "saline_drops": 3},
        {"passes": 2, "colour": "white", "saline_drops": 4},
    )
    replies = room.take(doubt)
    assert "Three, or four?" in replies
    assert not any(map(claims, replies))
    assert room.stored == [], "nothing is stored while it is open"
    assert "saline_drops" in room.talk.expected
    room.hear("four")
    assert room.stored == [{"passes": 2, "colour": "white", "saline_drops": 4}]


def test_a_question_nobody_answers_keeps_what_was_clear(room: Bedroom) -> None:
    room.hear("start suction")
    room.take(ask({"colour": "white"}, {"spo2": 90}, {"spo2": 99}))
    room.wait(40)
    assert room.stored == [{"colour": "white"}]


def test_not_understood_is_said_once_in_ten_seconds(room: Bedroom) -> None:
    room.hear("start suction")
    said = [
        room.clock.seconds
        for _ in range(45)
        if "I didn't catch that." in room.take(NOT_UNDERSTOOD, after=1.0)
    ]
    gaps = [later - sooner for sooner, later in pairwise(said)]
    assert len(said) >= 4
    assert min(gaps) >= 10 - 1e-6
    assert room.kinds == ["open"]


def test_between_procedures_talk_in_the_room_is_let_pass(room: Bedroom) -> None:
    assert room.talk.live == "idle"
    assert all(room.take(NOT_UNDERSTOOD, after=3.0) == [] for _ in range(5))
    assert room.kinds == []


def test_what_is_heard_follows_what_is_said(room: Bedroom) -> None:
    """The idle grammar hears no values; once open it does; a question names its slot."""
    assert room.hear("two passes") == []
    assert room.kinds == []
    room.hear("start suction")
    assert room.talk.live == "open"
    room.hear("two passes")
    room.hear("finish")
    assert room.talk.expected & {"colour", "thickness"}
    assert room.stored == [{"passes": 2}]


def test_a_note_is_kept_word_for_word(room: Bedroom) -> None:
    room.hear("start suction")
    room.hear("note he slept badly")
    note = next(row.entry for row in room.journal.rows() if row.entry.kind == "note")
    assert note.text == "he slept badly"


def test_a_row_keeps_what_was_heard_when_and_by_whom(room: Bedroom) -> None:
    room.hear("start suction")
    room.hear("this is Tom")
    found = Recognition(outcome="understood", slots={"passes": 2}, text="2 passes", confidence=0.97)
    room.take(found)
    row: Row = list(room.journal.rows())[-1]
    assert (row.heard.text, row.heard.confidence) == ("2 passes", 0.97)
    assert (row.caregiver, row.zone, row.child) == ("Tom", "America/Chicago", "Juniper")
    assert row.grammar_version == room.rules.version
    assert row.utc == DAY + timedelta(seconds=room.clock.seconds)


def test_a_fault_is_said_plainly(room: Bedroom) -> None:
    room.talk.fault("microphone")
    room.talk.fault("nobody knows this one")
    assert room.replies() == [
        "I can't hear you. Check the microphone.",
        "Something is wrong. Look at the screen.",
    ]


def test_tones_go_to_the_mouth(room: Bedroom) -> None:
    room.hear("start suction")
    room.hear("pass")
    room.wait(11)
    room.hear("out", after=0.1)
    kinds = [kind for what, kind in room.mouth.said if what == "tone"]
    assert kinds[-2:] == ["soft", "clear"]


def learning(tmp_path: Path, english: Grammar, **due: int) -> AbstractContextManager[Bedroom]:
    plan: dict[str, object] = {
        "child": {"name": "Juniper", "age_group": "infant"},
        "home": {"zone": "America/Chicago"},
        "change_days": due,
    }
    return bedroom(tmp_path / "journal.sqlite", english, plan=plan, learns=True)


def test_a_reminder_is_said_once_and_its_saying_is_kept(tmp_path: Path, english: Grammar) -> None:
    with learning(tmp_path, english, ties=1) as room:
        room.hear("bedside log tie change")
        room.clock.seconds += 25 * 3600
        assert any("tie" in text.lower() for text in room.wait(30))
        assert {"reminder": "said"}.items() <= room.stored[-1].items()
        assert not any("tie" in text.lower() for text in room.wait(300))


def test_later_brings_a_reminder_back(tmp_path: Path, english: Grammar) -> None:
    with learning(tmp_path, english, ties=1) as room:
        room.hear("bedside log tie change")
        room.clock.seconds += 25 * 3600
        assert any("tie" in text.lower() for text in room.wait(1))
        assert any("minutes" in text for text in room.hear("later", after=1.0))
        assert {"reminder": "later", "minutes": 30}.items() <= room.stored[-1].items()
        assert room.wait(60) == []
        room.clock.seconds += 31 * 60
        assert any("tie" in text.lower() for text in room.wait(30))


def test_the_summary_is_asked_of_the_companion(tmp_path: Path, english: Grammar) -> None:
    with learning(tmp_path, english) as room:
        room.hear("start suction")
        (reply,) = room.hear("summary")
        assert room.talk.companion is not None
        assert reply == room.talk.companion.today(room.clock.now())


def test_a_companion_that_fails_ends_neither_the_saving_nor_the_word(
    tmp_path: Path, english: Grammar, monkeypatch: pytest.MonkeyPatch
) -> None:
    with learning(tmp_path, english) as room:
        room.hear("start suction")
        assert room.talk.companion is not None
        monkeypatch.setattr(room.talk.companion.learner, "put", lambda procedure: 1 / 0)
        assert room.hear("two passes") == ["Two passes. Saved."]
        assert room.stored == [{"passes": 2}]
        assert room.talk.companion is None
        assert room.trouble == [
            "Reminders and the summary stopped (division by zero): start voicelog again."
        ]
        assert room.hear("white") == ["White. Saved."]


def test_a_reminder_that_cannot_be_noted_is_still_said(tmp_path: Path, english: Grammar) -> None:
    with learning(tmp_path, english, ties=1) as room:
        room.hear("bedside log tie change")
        room.clock.seconds += 25 * 3600
        room.journal.failing = JournalFullError("the journal")
        assert any("tie" in text.lower() for text in room.wait(30))
