"""The words of the record: what one row says, and what a procedure adds up to.

Slot names and values come from ``grammars/``; a new slot needs no code here.
Times are timezone-aware.  ``temperature_c`` is degrees Celsius, ``depth_cm``
centimetres, ``pressure_mmhg`` millimetres of mercury (logged positive),
``oxygen_lpm`` litres per minute, ``fluid_ml`` millilitres.
"""

from datetime import datetime
from typing import Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field

SlotValue = int | float | str
Slots = dict[str, SlotValue]

EntryKind = Literal[
    "open",  # a procedure starts; its row uuid names the procedure
    "values",  # slots heard inside a procedure, or a reading on its own
    "pass",  # one timed pass: slots hold pass_seconds
    "close",  # the procedure ends
    "undo",  # target row no longer counts
    "correct",  # target row's slots are replaced by these
    "event",  # tube_change, tie_change, stoma_care, ... (slots["action"])
    "note",  # free text in ``text``
    "emergency",  # stamped; never coached
    "caregiver",  # who speaks from now on
]


class Frozen(BaseModel):
    """A value that never changes after it is made and refuses unknown fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Scored(Frozen):
    """A recogniser hypothesis as it was stored: words and log-probability."""

    text: str
    score: float


class Entry(Frozen):
    """What one utterance adds to the record.

    Args:
        kind: what sort of row it makes.
        slots: slot name to value, only those heard.
        procedure: uuid of the ``open`` row it belongs to, if any.
        target: uuid of the row that ``undo`` or ``correct`` is about.
        text: free text of a note.
    """

    kind: EntryKind
    slots: Slots = Field(default_factory=dict)
    procedure: UUID | None = None
    target: UUID | None = None
    text: str = ""


class Heard(Frozen):
    """What the entry was made from: the words, and what else they might have been."""

    text: str = ""
    hypotheses: tuple[Scored, ...] = ()
    confidence: float = 1.0


class Row(Frozen):
    """One line of the journal.

    ``utc`` is aware and in UTC; ``zone`` is the IANA name of the local zone at
    the time, so that "three in the morning" can be told after a journey.
    """

    uuid: UUID
    seq: int
    utc: datetime
    zone: str
    child: str
    caregiver: str
    entry: Entry
    heard: Heard
    grammar_version: str


class Procedure(Frozen):
    """One suction procedure, a view over rows with undo and corrections applied.

    Args:
        uuid: the uuid of its ``open`` row.
        started, ended: aware datetimes in the local zone; ``ended`` is None while open.
        slots: the last value of each slot.
        passes: seconds of each timed pass, in order.
        complete: a ``close`` row was written.
    """

    uuid: UUID
    child: str
    caregiver: str
    started: datetime
    ended: datetime | None
    slots: Slots
    passes: tuple[float, ...] = ()
    complete: bool = False


class Event(Frozen):
    """Something logged outside procedures: a reading, change, note, tag or emergency."""

    uuid: UUID
    child: str
    caregiver: str
    at: datetime
    kind: EntryKind
    slots: Slots
    text: str = ""
