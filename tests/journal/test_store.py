"""Appending, reading back, and the views through the file."""

import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from voicelog.entries import Entry, Heard, Row, Scored
from voicelog.journal import (
    Journal,
    JournalDamagedError,
    JournalError,
    JournalFullError,
    NotSavedError,
    TargetMissingError,
    store,
    views,
)

from .conftest import START, Say

Write = Callable[[int], list[Row]]


def test_a_row_is_what_was_given(place: Path) -> None:
    heard = Heard(text="sats 92", hypotheses=(Scored(text="sets 92", score=-3.5),), confidence=0.25)
    entry = Entry(kind="values", slots={"spo2": 92, "temperature_c": 37.0, "colour": "white"})
    with Journal.open(place, child="Juniper") as journal:
        row = journal.append(entry, heard, "Rosa", START, "America/Chicago", "g1")
        assert (row.seq, row.utc, row.zone) == (1, START, "America/Chicago")
        assert (row.child, row.caregiver, row.grammar_version) == ("Juniper", "Rosa", "g1")
        assert (row.entry, row.heard) == (entry, heard)
        assert journal.row(row.uuid) == row
        assert journal.row(uuid4()) is None
    with Journal.open(place, child="Juniper") as again:
        assert list(again.rows()) == [row]
        assert again.verify().ok


def test_numbers_go_on_after_opening_again(place: Path, write: Write) -> None:
    rows = write(3) + write(2)
    assert [row.seq for row in rows] == [1, 2, 3, 4, 5]


def test_a_row_is_in_the_file_when_append_returns(place: Path, say: Say) -> None:
    with Journal.open(place, child="Juniper") as journal:
        for n in range(1, 4):
            say(journal, "note", text="x")
            with closing(sqlite3.connect(place)) as other:
                assert other.execute("SELECT count(*) FROM rows").fetchone() == (n,)


def test_local_times_are_kept_as_utc(place: Path) -> None:
    with Journal.open(place, child="Juniper") as journal:
        there = datetime.fromisoformat("2025-03-09T03:30:00-05:00")
        journal.append(Entry(kind="note"), Heard(), "Rosa", there, "America/Chicago", "g")
        (row,) = journal.rows()
        assert row.utc == there
        assert row.utc.tzinfo is UTC
        assert journal.events()[0].at.isoformat() == "2025-03-09T03:30:00-05:00"


@pytest.mark.parametrize(
    ("entry", "utc", "zone"),
    [
        (Entry(kind="note"), START.replace(tzinfo=None), "UTC"),
        (Entry(kind="note"), START, "Chicago"),
        (Entry(kind="note"), START, ""),
        (Entry(kind="values", slots={"spo2": float("nan")}), START, "UTC"),
        (Entry(kind="values", slots={"spo2": float("inf")}), START, "UTC"),
    ],
)
def test_what_cannot_be_kept_is_refused(
    place: Path, entry: Entry, utc: datetime, zone: str
) -> None:
    with Journal.open(place, child="Juniper") as journal:
        with pytest.raises(NotSavedError, match=r"Not saved: .* Please say it again\.") as caught:
            journal.append(entry, Heard(), "Rosa", utc, zone, "g")
        assert len(str(caught.value).splitlines()) == 1
        assert list(journal.rows()) == []
        journal.append(Entry(kind="note"), Heard(), "Rosa", START, "UTC", "g")
        assert journal.verify().ok


def test_what_points_nowhere_is_refused(place: Path, say: Say) -> None:
    with Journal.open(place, child="Juniper") as journal:
        note = say(journal, "note", text="x")
        attempts: list[Callable[[], Row]] = [
            lambda: say(journal, "undo"),
            lambda: say(journal, "undo", target=uuid4()),
            lambda: say(journal, "correct", target=uuid4(), colour="red"),
            lambda: say(journal, "values", procedure=uuid4(), colour="red"),
            lambda: say(journal, "values", procedure=note.uuid, colour="red"),
        ]
        for attempt in attempts:
            with pytest.raises(TargetMissingError, match="Not saved"):
                attempt()
        assert list(journal.rows()) == [note]


def test_a_file_at_its_limit_is_told_as_full(place: Path, say: Say) -> None:
    with Journal.open(place, child="Juniper") as journal:
        pages = journal._db.conn.execute("PRAGMA page_count").fetchone()[0]
        journal._db.conn.execute(f"PRAGMA max_page_count = {pages}")
        rows: list[Row] = []

        def fill() -> None:
            for _ in range(1000):
                rows.append(say(journal, "note", text="x" * 500))  # noqa: PERF401

        with pytest.raises(JournalFullError, match="free some space"):
            fill()
        assert list(journal.rows()) == rows
        journal._db.conn.execute("PRAGMA max_page_count = 100000")
        rows.append(say(journal, "note", text="room again"))
        assert list(journal.rows()) == rows
        assert journal.verify().ok


def test_since_reads_from_the_first_row_at_that_time(place: Path, write: Write) -> None:
    rows = write(10)
    with Journal.open(place, child="Juniper", read_only=True) as journal:
        assert list(journal.rows(since=rows[6].utc)) == rows[6:]
        assert list(journal.rows(since=rows[6].utc + timedelta(seconds=1))) == rows[7:]
        assert list(journal.rows(since=rows[9].utc + timedelta(days=1))) == []
        assert list(journal.rows(since=rows[0].utc - timedelta(days=1))) == rows


def test_reading_goes_through_every_chunk(
    place: Path, write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "_CHUNK", 3)
    rows = write(10)
    with Journal.open(place, child="Juniper") as journal:
        assert list(journal.rows()) == rows
        assert len(journal.events()) == 10
        assert journal.last_countable() == rows[-1]


def test_a_long_read_does_not_hold_up_an_append(
    place: Path, say: Say, write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "_CHUNK", 2)
    rows = write(5)
    with Journal.open(place, child="Juniper") as journal:
        reading = journal.rows()
        assert next(reading) == rows[0]
        late = say(journal, "note", text="late")
        assert list(reading) == [*rows[1:], late]


def test_a_procedure_is_whole_when_its_end_and_undo_come_later(place: Path, say: Say) -> None:
    with Journal.open(place, child="Juniper") as journal:
        early = say(journal, "open")
        say(journal, "close", procedure=early.uuid)
        opened = say(journal, "open")
        value = say(journal, "values", procedure=opened.uuid, colour="red")
        say(journal, "undo", target=value.uuid)
        say(journal, "values", procedure=opened.uuid, colour="white")
        say(journal, "close", procedure=opened.uuid)
        (found,) = journal.procedures(since=opened.utc)
        assert (found.uuid, found.slots, found.complete) == (opened.uuid, {"colour": "white"}, True)
        assert len(journal.procedures()) == 2


def test_a_clock_set_back_hides_nothing(place: Path) -> None:
    def at(journal: Journal, days: int, text: str) -> None:
        when = START + timedelta(days=days)
        journal.append(Entry(kind="note", text=text), Heard(), "Rosa", when, "UTC", "g")

    with Journal.open(place, child="Juniper") as journal:
        for days, text in ((0, "a"), (5, "b"), (-300, "dead battery"), (1, "c"), (6, "d")):
            at(journal, days, text)
        found = journal.events(since=START + timedelta(days=1))
        assert [event.text for event in found] == ["b", "c", "d"]


def test_events_of_some_kinds(place: Path, say: Say) -> None:
    with Journal.open(place, child="Juniper") as journal:
        say(journal, "note", text="x")
        change = say(journal, "event", action="tube_change")
        cry = say(journal, "emergency")
        found = journal.events(kinds=["event", "emergency"])
        assert [event.uuid for event in found] == [change.uuid, cry.uuid]


def test_undo_knows_what_it_is_about(place: Path, say: Say) -> None:
    with Journal.open(place, child="Juniper") as journal:
        assert journal.last_countable() is None
        first = say(journal, "note", text="a")
        second = say(journal, "note", text="b")
        assert journal.last_countable() == second
        say(journal, "undo", target=second.uuid)
        assert journal.last_countable() == first
        say(journal, "undo", target=first.uuid)
        assert journal.last_countable() is None


def test_undo_looks_back_as_far_as_it_must(
    place: Path, say: Say, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "_CHUNK", 2)
    with Journal.open(place, child="Juniper") as journal:
        first = say(journal, "note", text="a")
        for _ in range(10):
            row = say(journal, "note", text="b")
            say(journal, "undo", target=row.uuid)
        assert journal.last_countable() == first


def test_threads_may_share_a_journal(place: Path) -> None:
    def work(journal: Journal, name: str) -> None:
        for n in range(10):
            entry = Entry(kind="note", text=f"{name}{n}")
            journal.append(entry, Heard(), "Rosa", START, "UTC", "g")
            list(journal.rows())

    with Journal.open(place, child="Juniper") as journal:
        threads = [threading.Thread(target=work, args=(journal, name)) for name in "abc"]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        texts = [row.entry.text for row in journal.rows()]
        assert sorted(texts) == sorted(f"{name}{n}" for name in "abc" for n in range(10))
        assert journal.verify().ok


def test_a_noted_head_shows_a_cut_tail(place: Path, write: Write) -> None:
    write(5)
    with Journal.open(place, child="Juniper") as journal:
        noted = journal.head()
    with closing(sqlite3.connect(place)) as conn, conn:  # someone who owns the file
        conn.execute("DROP TRIGGER rows_no_DELETE")
        conn.execute("DELETE FROM rows WHERE seq > 3")
    with Journal.open(place, child="Juniper") as journal:
        assert journal.verify().ok
        assert journal.verify(noted).broken == 4


@pytest.mark.parametrize(
    "column", ["utc", "zone", "caregiver", "kind", "slots", "text", "heard", "grammar_version"]
)
def test_a_changed_column_is_found(place: Path, write: Write, column: str) -> None:
    write(3)
    with closing(sqlite3.connect(place)) as conn, conn:
        conn.execute("DROP TRIGGER rows_no_UPDATE")
        conn.execute(f"UPDATE rows SET {column} = 'other' WHERE seq = 2")
    with Journal.open(place, child="Juniper") as journal:
        verdict = journal.verify()
        assert (verdict.broken, verdict.why) == (2, "it was changed after it was written")


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.data())
def test_a_flipped_bit_is_never_silent(tmp_path: Path, data: st.DataObject) -> None:
    place = tmp_path / "j.db"
    keep = tmp_path / "keep.db"
    if not keep.exists():
        with Journal.open(place, child="Juniper") as journal:
            for n in range(20):
                entry = Entry(kind="note", text=f"note {n}")
                journal.append(entry, Heard(), "Rosa", START, "UTC", "g")
        keep.write_bytes(place.read_bytes())
    whole = bytearray(keep.read_bytes())
    at = data.draw(st.integers(0, len(whole) - 1))
    whole[at] ^= 1 << data.draw(st.integers(0, 7))
    for old in tmp_path.glob("j.db*"):
        old.unlink()
    place.write_bytes(whole)
    try:
        with Journal.open(place, child="Juniper", read_only=True) as journal:
            told = not journal.verify().ok
            texts = [row.entry.text for row in journal.rows()]
    except (JournalError, ValueError):
        return
    assert told or texts == [f"note {n}" for n in range(20)]


def test_a_damaged_index_is_found(place: Path, write: Write) -> None:
    write(3)
    with closing(sqlite3.connect(place)) as conn, conn:
        conn.execute("PRAGMA writable_schema = ON")
        conn.execute("UPDATE sqlite_schema SET sql = replace(sql, '(utc)', '(zone)')")
    with (
        Journal.open(place, child="Juniper", read_only=True) as journal,
        pytest.raises(JournalDamagedError, match="restore a backup"),
    ):
        journal.verify()


class LongUse(RuleBasedStateMachine):
    """Anything a night may hold, with restarts: the file agrees with plain lists."""

    folder: Path

    def __init__(self) -> None:
        super().__init__()
        self.place = self.folder / f"{uuid4()}.db"
        self.journal = Journal.open(self.place, child="Juniper")
        self.written: list[Row] = []

    def add(self, entry: Entry) -> None:
        when = START + timedelta(seconds=len(self.written))
        row = self.journal.append(entry, Heard(), "Rosa", when, "UTC", "g")
        self.written.append(row)

    @rule()
    def start(self) -> None:
        self.add(Entry(kind="open"))

    @rule(colour=st.sampled_from(["white", "red"]), data=st.data())
    def value(self, colour: str, data: st.DataObject) -> None:
        opened = [row.uuid for row in self.written if row.entry.kind == "open"]
        procedure = data.draw(st.sampled_from([None, *opened]))
        self.add(Entry(kind="values", slots={"colour": colour}, procedure=procedure))

    @precondition(lambda self: self.written)
    @rule(kind=st.sampled_from(["undo", "correct"]), data=st.data())
    def change(self, kind: str, data: st.DataObject) -> None:
        target = data.draw(st.sampled_from([row.uuid for row in self.written]))
        slots = {"colour": "green"} if kind == "correct" else {}
        self.add(Entry.model_validate({"kind": kind, "target": target, "slots": slots}))

    @precondition(lambda self: self.journal.last_countable())
    @rule()
    def undo_last(self) -> None:
        last = self.journal.last_countable()
        assert last is not None
        self.add(Entry(kind="undo", target=last.uuid))

    @rule()
    def restart(self) -> None:
        self.journal.close()
        self.journal = Journal.open(self.place, child="Juniper")

    @invariant()
    def file_agrees(self) -> None:
        facts = [views.Fact.of(row) for row in self.written]
        assert list(self.journal.rows()) == self.written
        assert self.journal.procedures() == views.procedures(facts)
        assert self.journal.events() == views.events(facts)
        last = self.journal.last_countable()
        assert (str(last.uuid) if last else None) == getattr(
            views.last_countable(facts), "uuid", None
        )
        assert all(one.seq + 1 == other.seq for one, other in pairwise(self.written))

    def teardown(self) -> None:
        assert self.journal.verify().ok
        self.journal.close()


def test_long_use(tmp_path: Path) -> None:
    LongUse.folder = tmp_path
    run_state_machine_as_test(
        LongUse, settings=settings(max_examples=15, stateful_step_count=25, deadline=None)
    )
