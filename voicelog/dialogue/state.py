"""What the conversation remembers: plain values that survive a trip through JSON."""

from datetime import datetime
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field

from voicelog.dialogue.actions import Live
from voicelog.entries import Entry, Frozen, Heard, Slots

ReplyKind = Literal[
    "opened",
    "values",
    "whole",
    "pass",
    "closed",
    "incomplete",
    "undone",
    "event",
    "note",
    "emergency",
    "caregiver",
]


class Item(Frozen):
    """One entry on its way to the journal, or already in it.

    Items refer to each other by ``id``, since a uuid is only known once the
    journal has the row.

    Args:
        group: items of one utterance share it; they are read back together.
        entry: what was sent; once stored, what the journal holds.
        at, now: when it was said.
        reply: how it is read back.
        procedure: id of the item that opened the procedure.
        target: id of the item that an undo or a correction is about.
        was: earlier values of the same slots, told in the read-back.
        warned: what is out of range in it was said, since it could not be saved.
        uuid: of the row, once stored.

    """

    id: int
    group: int
    entry: Entry
    heard: Heard = Heard()
    at: float
    now: datetime
    reply: ReplyKind
    procedure: int | None = None
    target: int | None = None
    was: Slots = Field(default_factory=dict)
    warned: bool = False
    uuid: UUID | None = None


class Flight(Frozen):
    """A commit without an answer yet.

    Args:
        ahead: sent past the queue, so it holds up nothing.
        quiet: a retry nobody asked for.
        mentioned: it was said that it takes long.
    """

    token: str
    item: int
    sent: float
    ahead: bool = False
    quiet: bool = False
    mentioned: bool = False


class Running(Frozen):
    """A pass being timed; ``told`` counts the tones played."""

    since: float
    told: int = 0


class Suction(Frozen):
    """The procedure that is open.

    Args:
        id: of the item that opened it.
        started: local time it was opened.
        spoken: when something was last said in it.
        asked: the caregiver was asked whether it goes on.
        untimed: passes that were made but not timed.
        settled: how many timed passes there were when the caregiver settled the count.
        missing: slots still to be asked for; None until "finish" was said.

    """

    id: int
    started: datetime
    spoken: float
    asked: bool = False
    untimed: int = 0
    settled: int | None = None
    missing: tuple[str, ...] | None = None


class Posed(Frozen):
    """A question: ``voiced`` is when it was last said, ``tries`` how often."""

    voiced: float | None = None
    tries: int = 0


class Choice(Posed):
    """Which of ``candidates`` was meant; ``known`` is sure and kept whatever the answer.

    ``why`` tells where the doubt comes from: two ``meaning``s, a pass still
    ``running``, ``passes`` said and timed that differ, or the same words ``again``.
    """

    kind: Literal["choice"] = "choice"
    why: Literal["meaning", "running", "passes", "again"] = "meaning"
    candidates: tuple[Slots, ...]
    known: Slots = Field(default_factory=dict)
    heard: Heard = Heard()
    at: float


class Missing(Posed):
    """A value that was not said."""

    kind: Literal["missing"] = "missing"
    slot: str


class Who(Posed):
    """Who is speaking; ``unknown`` after a name that is not in the plan."""

    kind: Literal["who"] = "who"
    unknown: bool = False


class NoteText(Posed):
    """The words of a note."""

    kind: Literal["note"] = "note"


class Reminder(Posed):
    """A reminder was said and may be put off."""

    kind: Literal["reminder"] = "reminder"
    reminder: str
    text: str = ""


Question = Annotated[Choice | Missing | Who | NoteText | Reminder, Field(discriminator="kind")]


class State(Frozen):
    """The whole memory of the conversation.

    Args:
        log: what the journal holds, as far back as undo and change need.
        queue: what it does not hold yet, in order; never dropped.
        flights: commits without an answer.
        failed: when the last commit failed, while its entry is still unsaved.
        told: when that was last said.
        suction: the procedure that is open.
        asking, waiting: the question put now, and those that follow.
        awake: until when it listens after the wake phrase alone.
        reminders: reminders not said yet.
        caregiver: who spoke before any ``caregiver`` entry in ``log``.
        live, expected: what ``SetLive`` last said.
        last_reply: for "repeat".
        hush: until when it asks nothing, after an emergency.
        gentle: when it last said that it did not catch something.
        faults: when each kind of fault was last mentioned.

    """

    next_id: int = 1
    log: tuple[Item, ...] = ()
    queue: tuple[Item, ...] = ()
    flights: tuple[Flight, ...] = ()
    failed: float | None = None
    told: float | None = None
    suction: Suction | None = None
    running: Running | None = None
    asking: Question | None = None
    waiting: tuple[Question, ...] = ()
    awake: float | None = None
    reminders: tuple[Reminder, ...] = ()
    caregiver: str = ""
    live: Live = "idle"
    expected: frozenset[str] = frozenset()
    last_reply: str = ""
    hush: float | None = None
    gentle: float | None = None
    faults: dict[str, float] = Field(default_factory=dict)
