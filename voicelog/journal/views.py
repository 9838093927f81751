"""What the rows add up to, with undo and corrections applied.  Pure functions.

- An ``undo`` row takes its target out, and may itself be undone.
- A ``correct`` row replaces the slots it names, and the text if it has one, of
  its target.  It counts while its target counts, from when it was said: a later
  value of the same slot beats it, an earlier one does not.
- A procedure whose ``open`` row was undone is gone, with its values, passes and
  close.  Notes, changes and emergencies said during it stay.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple, Self
from uuid import UUID
from zoneinfo import ZoneInfo

from voicelog.entries import EntryKind, Event, Procedure, Row, Slots

_PARTS = frozenset({"values", "pass", "close"})  # of a procedure, when they name one


class Fact(NamedTuple):
    """A row without what was heard: all a view needs, and quick to make."""

    uuid: str
    utc: datetime
    zone: str
    child: str
    caregiver: str
    kind: EntryKind
    slots: Slots
    procedure: str | None
    target: str | None
    text: str

    @classmethod
    def of(cls, row: Row) -> Self:
        """Return the fact in a row."""
        entry = row.entry
        return cls(
            uuid=str(row.uuid),
            utc=row.utc,
            zone=row.zone,
            child=row.child,
            caregiver=row.caregiver,
            kind=entry.kind,
            slots=entry.slots,
            procedure=str(entry.procedure) if entry.procedure else None,
            target=str(entry.target) if entry.target else None,
            text=entry.text,
        )

    @property
    def local(self) -> datetime:
        """When it was said, in the zone it was said in."""
        return self.utc.astimezone(ZoneInfo(self.zone))


def countable(facts: Iterable[Fact]) -> list[Fact]:
    """Return the facts that still count, in order; never the ``undo`` rows themselves."""
    facts = list(facts)
    gone = _undone(facts)
    gone |= {f.uuid for f in facts if f.kind in _PARTS and f.procedure in gone}
    for fact in facts:
        if fact.kind == "correct" and fact.target in gone:
            gone.add(fact.uuid)
    return [fact for fact in facts if fact.kind != "undo" and fact.uuid not in gone]


def last_countable(facts: Iterable[Fact]) -> Fact | None:
    """Return what "undo" is about: the last fact that still counts."""
    counted = countable(facts)
    return counted[-1] if counted else None


def procedures(facts: Iterable[Fact]) -> tuple[Procedure, ...]:
    """Return the procedures whose ``open`` row is among the facts, in order."""
    drafts: dict[str, _Draft] = {}
    owners: dict[str, tuple[str, str]] = {}  # row -> its procedure, and the row it amends
    for fact in countable(facts):
        if fact.kind == "open":
            drafts[fact.uuid] = _Draft(fact)
            owners[fact.uuid] = (fact.uuid, fact.uuid)
            drafts[fact.uuid].add(fact)
        elif fact.kind == "correct" and fact.target in owners:
            owner, root = owners[fact.uuid] = owners[fact.target]
            drafts[owner].amend(root, fact.slots)
        elif fact.kind in _PARTS and fact.procedure in drafts:
            owners[fact.uuid] = (fact.procedure, fact.uuid)
            drafts[fact.procedure].add(fact)
    return tuple(draft.finish() for draft in drafts.values())


def events(facts: Iterable[Fact]) -> tuple[Event, ...]:
    """Return what was logged outside procedures, and every note and emergency, in order."""
    kept: dict[str, Event] = {}
    roots: dict[str, str] = {}
    for fact in countable(facts):
        if fact.kind == "correct" and fact.target in roots:
            root = roots[fact.uuid] = roots[fact.target]
            old = kept[root]
            new = {"slots": {**old.slots, **fact.slots}, "text": fact.text or old.text}
            kept[root] = old.model_copy(update=new)
        elif _is_event(fact):
            roots[fact.uuid] = fact.uuid
            kept[fact.uuid] = Event(
                uuid=UUID(fact.uuid),
                child=fact.child,
                caregiver=fact.caregiver,
                at=fact.local,
                kind=fact.kind,
                slots=fact.slots,
                text=fact.text,
            )
    return tuple(kept.values())


def _undone(facts: Sequence[Fact]) -> set[str]:
    """From last to first, so that an undo is known to count before it is applied."""
    gone: set[str] = set()
    for fact in reversed(facts):
        if fact.kind == "undo" and fact.target and fact.uuid not in gone:
            gone.add(fact.target)
    return gone


def _is_event(fact: Fact) -> bool:
    if fact.kind in ("values", "pass"):
        return fact.procedure is None
    return fact.kind in ("event", "note", "emergency", "caregiver")


@dataclass
class _Draft:
    """A procedure while its rows are read."""

    opened: Fact
    slots: Slots = field(default_factory=dict)
    passes: dict[str, float | None] = field(default_factory=dict)
    closed: Fact | None = None

    def add(self, fact: Fact) -> None:
        if fact.kind == "pass":
            self.passes[fact.uuid] = None
        if fact.kind == "close":
            self.closed = fact
        self.amend(fact.uuid, fact.slots)

    def amend(self, root: str, slots: Slots) -> None:
        seconds = slots.get("pass_seconds")
        if root in self.passes and isinstance(seconds, (int, float)):
            self.passes[root] = float(seconds)
            slots = {slot: value for slot, value in slots.items() if slot != "pass_seconds"}
        self.slots |= slots

    def finish(self) -> Procedure:
        return Procedure(
            uuid=UUID(self.opened.uuid),
            child=self.opened.child,
            caregiver=self.opened.caregiver,
            started=self.opened.local,
            ended=self.closed.local if self.closed else None,
            slots=self.slots,
            passes=tuple(took for took in self.passes.values() if took is not None),
            complete=self.closed is not None,
        )
