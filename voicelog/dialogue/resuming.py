"""Going on after a restart: the conversation rebuilt from what the journal holds."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import UUID

from voicelog.dialogue.record import ends, standing
from voicelog.dialogue.state import Item, ReplyKind, State, Suction
from voicelog.entries import Entry, EntryKind, Row

_REPLIES: dict[EntryKind, ReplyKind] = {
    "open": "opened",
    "values": "values",
    "pass": "pass",
    "close": "closed",
    "undo": "undone",
    "correct": "values",
    "event": "event",
    "note": "note",
    "emergency": "emergency",
    "caregiver": "caregiver",
}


def resume(rows: Sequence[Row], at: float, now: datetime) -> State:
    """Return the state a conversation had when these rows were written.

    ``rows`` are the last rows of the journal in order, such as those of a day;
    a procedure that began before them is not known.  ``at`` and ``now`` are the
    same moment on both clocks, as in every event.

    Rows about reminders are left out: nobody said them, so "undo" is not about them.
    A pass that was running is lost, since only its end is ever stored.  A
    procedure left open long ago is closed as incomplete by the first ``Tick``.

    """
    items: list[Item] = []
    numbers: dict[UUID, int] = {}
    spoken = [row for row in rows if "reminder" not in row.entry.slots]
    for number, row in enumerate(spoken, start=1):
        numbers[row.uuid] = number
        items.append(_item(row, number, numbers, at, now))
    kept = standing(items)
    ended = {item.procedure for item in kept if ends(item)}
    opened = [item for item in kept if item.entry.kind == "open" and item.id not in ended]
    suction = None
    if opened and not _later_open(kept, opened[-1]):
        first = opened[-1]
        last = max(item.at for item in items if item.procedure == first.id)
        suction = Suction(id=first.id, started=first.now, spoken=last)
    return State(
        next_id=len(items) + 1,
        log=tuple(items),
        suction=suction,
        caregiver=rows[-1].caregiver if rows else "",
    )


def _later_open(kept: Sequence[Item], opened: Item) -> bool:
    """Tell whether another procedure began after this one, so that it is over."""
    return any(item.entry.kind == "open" and item.id > opened.id for item in kept)


def _item(row: Row, number: int, numbers: dict[UUID, int], at: float, now: datetime) -> Item:
    entry: Entry = row.entry
    age = max((now - row.utc) / timedelta(seconds=1), 0.0)
    procedure = number if entry.kind == "open" else _find(numbers, entry.procedure)
    return Item(
        id=number,
        group=number,
        entry=entry,
        heard=row.heard,
        at=at - age,
        now=row.utc.astimezone(now.tzinfo),
        reply="incomplete" if "ending" in entry.slots else _REPLIES[entry.kind],
        procedure=procedure,
        target=_find(numbers, entry.target),
        uuid=row.uuid,
    )


def _find(numbers: dict[UUID, int], uuid: UUID | None) -> int | None:
    return numbers.get(uuid) if uuid is not None else None
