"""The one place where the rooms meet: events go to the dialogue, its actions are done.

It owns the state and the journal's single writer.  Nothing is said as saved
here: the dialogue says so, and only once the journal's answer has come back.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC

from voicelog.dialogue import Dialogue, State
from voicelog.dialogue.actions import Action, Commit, Report, Say, SetLive, Snooze, Tone
from voicelog.dialogue.events import (
    Answered,
    Asked,
    CommitFailed,
    Committed,
    Event,
    NotUnderstood,
    Started,
    Tick,
    Understood,
)
from voicelog.dialogue.record import caregiver_of
from voicelog.entries import Entry, Heard, Row
from voicelog.grammar import Live
from voicelog.journal.errors import JournalError
from voicelog.journal.store import Journal
from voicelog.recognition.protocol import Recognition
from voicelog.runner.clock import Clock
from voicelog.runner.mouth import Mouth

Reporter = Callable[[str], str]
Snoozer = Callable[[str, int], None]


def _no_report(kind: str) -> str:
    return ""


def _no_snooze(reminder: str, minutes: int) -> None:
    return None


@dataclass(slots=True)
class Conversation:
    """A dialogue, its state, and what carries out its actions.

    Args:
        dialogue, state: the conversation so far.
        journal: where entries go; this is its only writer.
        mouth: what speaks.
        clock: the time.
        zone: IANA name of the home's zone.
        grammar_version: stored with every row.
        report: works out what the dialogue asks of the journal.
        snooze: puts a reminder off.
        stored: told every row that reached the disk.
    """

    dialogue: Dialogue
    journal: Journal
    mouth: Mouth
    clock: Clock
    zone: str
    grammar_version: str
    state: State = field(default_factory=State)
    report: Reporter = _no_report
    snooze: Snoozer = _no_snooze
    stored: Callable[[Row], None] = lambda row: None
    live: Live = "idle"
    expected: frozenset[str] = frozenset()

    def start(self) -> None:
        """Begin, or go on with what was open."""
        self.dispatch(Started(at=self.clock.at(), now=self.clock.now()))

    def tick(self) -> None:
        """Let time pass."""
        self.dispatch(Tick(at=self.clock.at(), now=self.clock.now()))

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
                return self._commit(action.entry, action.heard, action.token)
            case Report():
                return Answered(at=at, now=now, text=self.report(action.kind))
            case Snooze():
                self.snooze(action.reminder, action.minutes)
            case _:
                pass  # clocks: the live runner ticks ten times a second all the time
        return None

    def _commit(self, entry: Entry, heard: Heard, token: str) -> Event:
        at, now = self.clock.at(), self.clock.now()
        try:
            row = self.journal.append(
                entry,
                heard,
                caregiver_of(self.state),
                now.astimezone(UTC),
                self.zone,
                self.grammar_version,
            )
        except JournalError as error:
            return CommitFailed(at=at, now=now, token=token, reason=str(error))
        self.stored(row)
        return Committed(at=at, now=now, token=token, row=row)
