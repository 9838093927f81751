"""What the journal tests share: a place, a child, and a quick way to append."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Protocol
from uuid import UUID

import pytest

from voicelog.entries import Entry, EntryKind, Heard, Row, Scored, Slots
from voicelog.journal import Journal

START = datetime(2025, 3, 9, 6, 0, tzinfo=UTC)


class Say(Protocol):
    """Append one entry at the next minute."""

    def __call__(
        self,
        journal: Journal,
        kind: EntryKind,
        *,
        procedure: UUID | None = None,
        target: UUID | None = None,
        text: str = "",
        **slots: int | float | str,
    ) -> Row: ...


def entry_words(minute: int) -> Heard:
    text = f"words {minute}"
    return Heard(text=text, confidence=0.5, hypotheses=(Scored(text=text, score=-1.25),))


@pytest.fixture
def say() -> Say:
    minutes = iter(range(10**6))

    def append(
        journal: Journal,
        kind: EntryKind,
        *,
        procedure: UUID | None = None,
        target: UUID | None = None,
        text: str = "",
        **slots: int | float | str,
    ) -> Row:
        minute = next(minutes)
        entry = Entry(kind=kind, slots=Slots(slots), procedure=procedure, target=target, text=text)
        when = START + timedelta(minutes=minute)
        return journal.append(entry, entry_words(minute), "Rosa", when, "America/Chicago", "g1")

    return append


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return tmp_path / "home" / "juniper.db"


@pytest.fixture
def write(place: Path, say: Say) -> Callable[[int], list[Row]]:
    """Write some notes and close the journal again."""

    def notes(count: int) -> list[Row]:
        with Journal.open(place, child="Juniper") as journal:
            return [say(journal, "note", text=f"note {n}") for n in range(count)]

    return notes
