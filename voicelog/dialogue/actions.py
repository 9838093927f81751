"""What the conversation wants done; the runner does it, in order."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from voicelog.entries import Entry, Heard

Live = Literal["idle", "open", "asking"]
ToneKind = Literal["listening", "started", "soft", "clear"]
Volume = Literal["normal", "quiet"]
ClockName = Literal["pass"]


@dataclass(frozen=True, slots=True)
class Say:
    """Speak ``text``; ``urgent`` stops whatever is being said."""

    text: str
    volume: Volume = "normal"
    urgent: bool = False


@dataclass(frozen=True, slots=True)
class Tone:
    """Play a short sound: ``soft`` two seconds before a pass must end, ``clear`` when."""

    kind: ToneKind


@dataclass(frozen=True, slots=True)
class Commit:
    """Write one entry, then answer once with Committed or CommitFailed for ``token``.

    Args:
        said, caregiver: when it was said and by whom, however late it is written.
    """

    entry: Entry
    heard: Heard
    token: str
    said: datetime
    caregiver: str


@dataclass(frozen=True, slots=True)
class StartClock:
    """Tick ten times a second, and show this clock if there is a screen."""

    name: ClockName


@dataclass(frozen=True, slots=True)
class StopClock:
    """That clock is no longer needed."""

    name: ClockName


@dataclass(frozen=True, slots=True)
class SetLive:
    """Listen for this part of the grammar; ``expected`` slots are likely now."""

    state: Live
    expected: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Report:
    """Work out ``kind`` ("summary") from the journal and send it back as Answered."""

    kind: str


@dataclass(frozen=True, slots=True)
class Reminded:
    """This reminder is being said now."""

    reminder: str


@dataclass(frozen=True, slots=True)
class Snooze:
    """Bring this reminder back in ``minutes``."""

    reminder: str
    minutes: int


Action = Say | Tone | Commit | StartClock | StopClock | SetLive | Report | Reminded | Snooze
