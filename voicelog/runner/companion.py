"""What the log knows of the child, kept up to date row by row for the conversation."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from voicelog.baseline.learner import Learner
from voicelog.baseline.reminders import Reminder, reminders, to_say
from voicelog.baseline.settings import Settings
from voicelog.baseline.supplies import Supply, supplies
from voicelog.baseline.today import how_is_today
from voicelog.baseline.view import View
from voicelog.baseline.words import Words
from voicelog.entries import Row
from voicelog.journal.store import Journal

RECENT = timedelta(hours=36)
"""How far back an undo or a correction is looked for after each row."""


@dataclass(slots=True)
class Companion:
    """The learner of one child beside its journal.

    Args:
        journal: read only here.
        settings: the plan's numbers.
        words: the language's words for what is noticed.
    """

    journal: Journal
    settings: Settings
    words: Words
    learner: Learner = field(init=False)

    def __post_init__(self) -> None:
        self.learner = Learner(self.settings)
        self.learner.fill(self.journal.procedures(), self.journal.events())

    def stored(self, row: Row) -> None:
        """Take in what a new row changed."""
        since = row.utc - RECENT
        procedures, events = self.journal.procedures(since), self.journal.events(since)
        kept = {one.uuid for one in procedures} | {one.uuid for one in events}
        target = row.entry.target
        if row.entry.kind == "undo" and target is not None and target not in kept:
            self.learner.remove(target)
        reaches_back = row.entry.kind in ("undo", "correct")
        for procedure in procedures if reaches_back else procedures[-2:]:
            self.learner.put(procedure)
        for event in events if reaches_back else events[-2:]:
            self.learner.note(event)

    def view(self, now: datetime) -> View:
        """Return the learner at a moment."""
        return View(self.learner, now)

    def stock(self, now: datetime) -> list[Supply]:
        """Return what is in the house and how long it lasts."""
        today = now.astimezone(self.settings.zone).date()
        return supplies(self.learner.history, self.learner.count.pool, self.settings, today)

    def today(self, now: datetime) -> str:
        """Return the answer to "how is today?"."""
        return how_is_today(self.view(now), self.words)

    def due(self, now: datetime, *, busy: bool) -> Iterable[tuple[Reminder, str]]:
        """Return the reminders to say now, with their words."""
        view = self.view(now)
        ready = to_say(reminders(view, self.stock(now)), view, procedure_open=busy)
        return [(reminder, reminder.words(self.words)) for reminder in ready]
