"""What is known of the child, row by row, is what a fresh start would know."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.baseline.settings import Settings
from voicelog.baseline.words import load_words
from voicelog.entries import Entry, EntryKind, Heard, Row, SlotValue
from voicelog.journal import Journal
from voicelog.runner.companion import Companion

CHICAGO = ZoneInfo("America/Chicago")
START = datetime(2026, 3, 2, 14, 0, tzinfo=CHICAGO)
SETTINGS = Settings(zone=CHICAGO, change_days={"tie_change": 1}, spo2_low=92)

Log = Callable[..., Row]


class Desk:
    """Writes rows and tells the companion, as the conversation does."""

    def __init__(self, journal: Journal) -> None:
        self.companion = Companion(journal, SETTINGS, load_words("en"))
        self.journal = journal
        self.now = START

    def log(
        self,
        kind: EntryKind,
        procedure: UUID | None = None,
        target: UUID | None = None,
        minutes: float = 1,
        **slots: SlotValue,
    ) -> Row:
        self.now += timedelta(minutes=minutes)
        entry = Entry(kind=kind, slots=slots, procedure=procedure, target=target)
        utc = self.now.astimezone(UTC)
        row = self.journal.append(entry, Heard(), "Rosa", utc, CHICAGO.key, "1")
        self.companion.stored(row)
        return row

    def suction(self, **slots: SlotValue) -> tuple[Row, Row]:
        opened = self.log("open", minutes=90)
        values = self.log("values", opened.uuid, **slots)
        self.log("pass", opened.uuid, pass_seconds=8.0)
        self.log("close", opened.uuid)
        return opened, values

    def fresh(self) -> Companion:
        return Companion(self.journal, SETTINGS, load_words("en"))

    def same(self) -> None:
        """Check that a restart would change nothing."""
        known, fresh = self.companion.learner.history, self.fresh().learner.history
        assert known.counts.tolist() == fresh.counts.tolist()
        order = np.argsort(known.procedures.table[:, 0], kind="stable")
        np.testing.assert_array_equal(known.procedures.table[order], fresh.procedures.table)
        marks = sorted((mark.at, str(mark.slots)) for mark in known.marks.values())
        assert marks == sorted((mark.at, str(mark.slots)) for mark in fresh.marks.values())
        assert self.companion.today(self.now) == self.fresh().today(self.now)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Journal.open(tmp_path / "journal.sqlite", child="Juniper") as journal:
        yield Desk(journal)


def test_it_learns_from_what_is_there_and_from_each_new_row(desk: Desk) -> None:
    desk.suction(colour="white", thickness="thin")
    desk.log("values", spo2=91)
    desk.log("event", action="tie_change")
    desk.log("values", tag="sick")
    desk.same()
    assert desk.companion.learner.history.counts.tolist() == [1]


def test_an_undone_procedure_is_forgotten(desk: Desk) -> None:
    opened, _ = desk.suction(colour="green")
    desk.suction(colour="white")
    desk.log("undo", target=opened.uuid)
    desk.same()
    assert desk.companion.learner.history.counts.tolist() == [1]


def test_undone_values_and_corrections_reach_back(desk: Desk) -> None:
    _, first = desk.suction(colour="green")
    _, second = desk.suction(colour="white")
    desk.suction(colour="white")
    desk.log("correct", target=first.uuid, colour="clear")
    desk.log("undo", target=second.uuid)
    desk.same()


def test_an_undone_event_is_forgotten(desk: Desk) -> None:
    event = desk.log("event", action="tie_change")
    assert [
        r.kind for r, _ in desk.companion.due(desk.now + timedelta(days=1, hours=1), busy=False)
    ]
    desk.log("undo", target=event.uuid)
    assert not list(desk.companion.due(desk.now + timedelta(days=1, hours=1), busy=False))
    desk.same()


def test_nothing_is_due_while_somebody_is_busy(desk: Desk) -> None:
    desk.log("event", action="tie_change")
    tomorrow = desk.now + timedelta(days=1, hours=1)
    ((reminder, text),) = desk.companion.due(tomorrow, busy=False)
    assert reminder.kind == "tie_change"
    assert "tie" in text.lower()
    assert list(desk.companion.due(tomorrow, busy=True)) == []


def test_counted_supplies_are_known(desk: Desk) -> None:
    desk.log("values", catheters_on_hand=40)
    for _ in range(8):
        desk.suction(colour="white")
    desk.same()
    assert [one.counted for one in desk.companion.stock(desk.now)] == [
        one.counted for one in desk.fresh().stock(desk.now)
    ]


STEPS = st.lists(
    st.sampled_from(["suction", "values", "event", "undo", "correct", "tag"]), max_size=12
)


@settings(max_examples=10)
@given(steps=STEPS, pick=st.randoms(use_true_random=False))
def test_any_evening_is_known_as_after_a_restart(
    tmp_path_factory: pytest.TempPathFactory, steps: list[str], pick: object
) -> None:
    path = tmp_path_factory.mktemp("evening") / "journal.sqlite"
    with Journal.open(path, child="Juniper") as journal:
        desk = Desk(journal)
        rows = list(desk.suction(colour="white"))
        for step in steps:
            target = pick.choice(rows)  # type: ignore[attr-defined]
            if step == "suction":
                rows += desk.suction(colour="yellow", thickness="thick")
            elif step == "undo":
                desk.log("undo", target=target.uuid)
            elif step == "correct" and target.entry.kind == "values":
                desk.log("correct", target=target.uuid, colour="clear")
            elif step == "event":
                rows.append(desk.log("event", action="tie_change"))
            elif step == "tag":
                rows.append(desk.log("values", tag="sick"))
            else:
                rows.append(desk.log("values", spo2=95))
        desk.same()
