"""What the conversation is told.

Every event carries ``at``, seconds on a clock that only goes forward, and
``now``, the aware local time of day.  Nothing here reads a clock.
"""

from dataclasses import dataclass, field
from datetime import datetime

from voicelog.entries import Heard, Row, Slots


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """When something happened: ``at`` in seconds, ``now`` as local wall time."""

    at: float
    now: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Started(Moment):
    """The program is up: the first event, also after ``resume``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood(Moment):
    """One utterance with one meaning.

    ``slots`` may hold ``action`` and ``answer`` beside values; it is empty when
    only the wake phrase was said.  ``heard`` overrides ``text`` and
    ``confidence`` as what the journal keeps of the words.
    """

    slots: Slots
    text: str = ""
    confidence: float = 1.0
    heard: Heard | None = None

    @property
    def words(self) -> Heard:
        """What the entry is made from."""
        return self.heard or Heard(text=self.text, confidence=self.confidence)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked(Moment):
    """One utterance whose meaning is open: ``candidates``, best first; ``known`` is sure."""

    candidates: tuple[Slots, ...]
    known: Slots = field(default_factory=dict)
    text: str = ""
    heard: Heard | None = None

    @property
    def words(self) -> Heard:
        """What the entry is made from."""
        return self.heard or Heard(text=self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUnderstood(Moment):
    """Speech that means nothing here; ``text`` is the best guess at the words."""

    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick(Moment):
    """Time went by; wanted ten times a second while a clock runs, else once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key(Moment):
    """A key or pedal; ``name`` is an action, an answer, or ``pass`` for in and out by turns."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Committed(Moment):
    """The journal holds the entry sent as ``token``; ``row`` is read back from it."""

    token: str
    row: Row


@dataclass(frozen=True, slots=True, kw_only=True)
class CommitFailed(Moment):
    """The journal does not hold it.

    ``reason`` is a key of ``reasons`` in the replies, or a sentence with the fix.
    """

    token: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered(Moment):
    """The runner's answer to a ``Report``: sentences to say."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Due(Moment):
    """A reminder or re-check is due.

    ``reminder`` is its key, given back in ``Reminded`` and ``Snooze``.  ``text``
    is the sentence to say; without one it comes from ``reminders`` in the replies.
    """

    reminder: str
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault(Moment):
    """Something broke; ``kind`` is a key of ``faults`` in the replies."""

    kind: str


Event = (
    Started
    | Understood
    | Asked
    | NotUnderstood
    | Tick
    | Key
    | Committed
    | CommitFailed
    | Answered
    | Due
    | Fault
)
