"""A whole conversation on a real journal, with a mouth and a clock that the test can look into."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from tests.dialogue.bedside import DAY, setting
from voicelog.baseline.settings import from_plan
from voicelog.baseline.words import load_words
from voicelog.cli.heard import from_text
from voicelog.dialogue import Dialogue
from voicelog.entries import Row, Slots
from voicelog.grammar import Grammar
from voicelog.journal import Journal
from voicelog.journal.errors import JournalError
from voicelog.recognition.protocol import Recognition
from voicelog.runner.clock import PlayedClock
from voicelog.runner.companion import Companion
from voicelog.runner.conversation import Conversation
from voicelog.runner.mouth import SilentMouth, Volume

ZONE = "America/Chicago"


class WatchedJournal(Journal):
    """A real journal that notes each append when it has returned, and can be made to fail."""

    log: list[tuple[str, str]]
    failing: JournalError | None = None

    def append(self, *arguments: Any, **named: Any) -> Row:
        if self.failing is not None:
            self.log.append(("refused", type(self.failing).__name__))
            raise self.failing
        row = super().append(*arguments, **named)
        self.log.append(("stored", row.entry.kind))
        return row


@dataclass
class WatchedMouth(SilentMouth):
    """Notes what is said in the same list as the journal."""

    log: list[tuple[str, str]] = field(default_factory=list)

    def say(self, text: str, volume: Volume = "normal", *, urgent: bool = False) -> None:
        self.said.append(("say", text))
        self.log.append(("say", text))


@dataclass
class Bedroom:
    """The conversation, and what happened in it in the order it happened."""

    talk: Conversation
    journal: WatchedJournal
    mouth: WatchedMouth
    clock: PlayedClock
    log: list[tuple[str, str]]
    trouble: list[str]
    rules: Grammar

    def hear(self, text: str, after: float = 2.0) -> list[str]:
        """Say a sentence; return the replies."""
        found = from_text(self.rules.parse(text, self.talk.live, self.talk.expected), 0.0)
        return self.take(found, after)

    def take(self, found: Recognition, after: float = 2.0) -> list[str]:
        """Take what a recogniser found; return the replies, those to the time passed left out."""
        self.wait(after)
        self.log.append(("heard", found.text))
        begin = len(self.log)
        self.talk.hear(found)
        return self.replies(begin)

    def wait(self, seconds: float) -> list[str]:
        """Let time pass, ten ticks a second; return what was said meanwhile."""
        begin, until = len(self.log), self.clock.seconds + seconds
        while self.clock.seconds < until - 1e-9:
            self.clock.seconds = min(until, self.clock.seconds + 0.1)
            self.talk.tick()
        return self.replies(begin)

    def replies(self, begin: int = 0) -> list[str]:
        return [text for what, text in self.log[begin:] if what == "say"]

    @property
    def kinds(self) -> list[str]:
        return [row.entry.kind for row in self.journal.rows()]

    @property
    def stored(self) -> list[Slots]:
        return [row.entry.slots for row in self.journal.rows() if row.entry.slots]


@contextmanager
def bedroom(
    path: Path,
    rules: Grammar,
    start: datetime = DAY,
    plan: dict[str, object] | None = None,
    *,
    learns: bool = False,
) -> Iterator[Bedroom]:
    """Open a journal at ``path`` and begin a conversation about an invented child on it."""
    log: list[tuple[str, str]] = []
    trouble: list[str] = []
    where, clock, mouth = setting(plan), PlayedClock(start), WatchedMouth(log=log)
    with WatchedJournal.open(path, child="Juniper") as journal:
        journal.log = log
        known = Companion(journal, from_plan(where.plan), load_words("en")) if learns else None
        talk = Conversation(
            dialogue=Dialogue(where),
            journal=journal,
            mouth=mouth,
            clock=clock,
            zone=ZONE,
            grammar_version=rules.version,
            companion=known,
            trouble=trouble.append,
        )
        talk.start()
        yield Bedroom(talk, journal, mouth, clock, log, trouble, rules)
