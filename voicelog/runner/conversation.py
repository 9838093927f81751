"""The one place where the rooms meet: events go to the dialogue, its actions are done.

It owns the state and the journal's single writer.  Nothing is said as saved
here: the dialogue says so, and only once the journal's answer has come back.
"""

from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TypeVar

from voicelog.baseline.reminders import Reminder
from voicelog.dialogue import Dialogue, State
from voicelog.dialogue.actions import (
    Action,
    Commit,
    Reminded,
    Report,
    Say,
    SetLive,
    Snooze,
    Tone,
)
from voicelog.dialogue.events import (
    Answered,
    Asked,
    CommitFailed,
    Committed,
    Due,
    Event,
    Fault,
    NotUnderstood,
    Started,
    Tick,
    Understood,
)
from voicelog.dialogue.record import caregiver_of
from voicelog.dialogue.state import Item
from voicelog.entries import Entry, Heard, Row, Slots
from voicelog.grammar import Live
from voicelog.journal.closed import ClosedJournal
from voicelog.journal.errors import (
    JournalBusyError,
    JournalError,
    JournalFullError,
    JournalReadOnlyError,
)
from voicelog.journal.store import Journal
from voicelog.recognition.protocol import Recognition
from voicelog.runner.clock import Clock
from voicelog.runner.companion import Companion
from voicelog.runner.mouth import Mouth

Answer = TypeVar("Answer")

REMIND_EVERY = 20.0
"""Seconds between looks at what is due."""

REASONS: dict[type[JournalError], str] = {
    JournalFullError: "disk_full",
    JournalReadOnlyError: "read_only",
    JournalBusyError: "busy",
}
"""The journal's failures that have spoken words of their own; paths are only shown."""


@dataclass(slots=True)
class Conversation:
    """A dialogue, its state, and what carries out its actions.

    Args:
        dialogue, state: the conversation so far.
        journal: where entries go; this is its only writer.  A closed one takes nothing, so
            that an emergency is still answered.
        mouth: what speaks.
        clock: the time.
        zone: IANA name of the home's zone.
        grammar_version: stored with every row.
        companion: what is known of the child; without one nothing is reminded or summed up.
        trouble: told in full, for the screen, what is only said in short or not at all.
    """

    dialogue: Dialogue
    journal: Journal | ClosedJournal
    mouth: Mouth
    clock: Clock
    zone: str
    grammar_version: str
    state: State = field(default_factory=State)
    companion: Companion | None = None
    trouble: Callable[[str], None] = lambda why: None
    live: Live = "idle"
    expected: frozenset[str] = frozenset()
    _looked: float = float("-inf")
    _offered: set[str] = field(default_factory=set)

    @property
    def unsaved(self) -> tuple[Item, ...]:
        """What was said to be logged and is not in the journal yet."""
        return self.state.queue

    def start(self) -> None:
        """Begin, or go on with what was open."""
        self.dispatch(Started(at=self.clock.at(), now=self.clock.now()))

    def tick(self) -> None:
        """Let time pass, and offer what has fallen due."""
        self.dispatch(Tick(at=self.clock.at(), now=self.clock.now()))
        if self.clock.at() - self._looked >= REMIND_EVERY:
            self._looked = self.clock.at()
            self._remind()

    def _remind(self) -> None:
        now, busy = self.clock.now(), self.state.suction is not None
        nothing: list[tuple[Reminder, str]] = []
        for reminder, text in self._known(lambda known: list(known.due(now, busy=busy)), nothing):
            if reminder.key not in self._offered:
                self._offered.add(reminder.key)
                at = self.clock.at()
                self.dispatch(Due(at=at, now=now, reminder=reminder.key, text=text))

    def hear(self, found: Recognition) -> None:
        """Take one utterance."""
        at, now = self.clock.at(), self.clock.now()
        heard = Heard(text=found.text, hypotheses=found.hypotheses, confidence=found.confidence)
        if found.outcome == "understood":
            slots = dict(found.slots)
            if slots.get("action") == "note":
                slots["note"] = found.note
            event: Event = Understood(at=at, now=now, slots=slots, text=found.text, heard=heard)
        elif found.outcome == "ask":
            event = Asked(
                at=at,
                now=now,
                candidates=found.alternatives,
                known=found.slots,
                text=found.text,
                heard=heard,
            )
        else:
            event = NotUnderstood(at=at, now=now, text=found.text)
        self.dispatch(event)

    def fault(self, kind: str) -> None:
        """Say that something broke; ``kind`` is a key of ``faults`` in the replies."""
        self.dispatch(Fault(at=self.clock.at(), now=self.clock.now(), kind=kind))

    def dispatch(self, event: Event) -> None:
        """Give the dialogue one event and do what it wants, until it wants nothing more."""
        waiting = deque([event])
        while waiting:
            self.state, actions = self.dialogue.step(self.state, waiting.popleft())
            for action in actions:
                answer = self._do(action)
                if answer is not None:
                    waiting.append(answer)

    def _do(self, action: Action) -> Event | None:
        at, now = self.clock.at(), self.clock.now()
        match action:
            case Say():
                self.mouth.say(action.text, action.volume, urgent=action.urgent)
            case Tone():
                self.mouth.tone(action.kind)
            case SetLive():
                self.live = "idle" if action.state == "idle" else "open"
                self.expected = action.expected
            case Commit():
                return self._commit(action)
            case Report():
                text = self._known(lambda known: known.today(now), "")
                return Answered(at=at, now=now, text=text)
            case Reminded():
                self._mark(action.reminder, {"reminder": "said"})
            case Snooze():
                self._offered.discard(action.reminder)
                self._mark(action.reminder, {"reminder": "later", "minutes": action.minutes})
            case _:
                pass  # clocks: the live runner ticks ten times a second all the time
        return None

    def _mark(self, key: str, slots: Slots) -> None:
        """Keep what became of a reminder; it only bears on reminders, so a failure waits."""
        entry = Entry(kind="event", slots={**slots, "reminder_key": key})
        with suppress(JournalError):
            self._append(entry, Heard(), self.clock.now(), caregiver_of(self.state))

    def _commit(self, asked: Commit) -> Event:
        at, now = self.clock.at(), self.clock.now()
        try:
            row = self._append(asked.entry, asked.heard, asked.said, asked.caregiver)
        except JournalError as error:
            self.trouble(str(error))
            reason = REASONS.get(type(error), "unknown")
            return CommitFailed(at=at, now=now, token=asked.token, reason=reason)
        return Committed(at=at, now=now, token=asked.token, row=row)

    def _append(self, entry: Entry, heard: Heard, said: datetime, who: str) -> Row:
        utc = said.astimezone(UTC)
        row = self.journal.append(entry, heard, who, utc, self.zone, self.grammar_version)
        self._known(lambda known: known.stored(row), None)
        return row

    def _known(self, question: Callable[[Companion], Answer], otherwise: Answer) -> Answer:
        """Ask the companion, and go on without it where it fails.

        A row is stored before it is learned from: no fault there may make that unsaid,
        and what is only learned may not end the log.
        """
        if self.companion is None:
            return otherwise
        try:
            return question(self.companion)
        except Exception as error:  # noqa: BLE001
            self.companion = None
            self.trouble(f"Reminders and the summary stopped ({error}): start voicelog again.")
            return otherwise
