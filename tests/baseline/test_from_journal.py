"""From the journal's rows to the figures: nothing is typed twice."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

from tests.baseline.make import CHICAGO, at
from voicelog.baseline.learner import Learner
from voicelog.baseline.reasons import findings
from voicelog.baseline.reminders import reminders, to_say
from voicelog.baseline.settings import Settings
from voicelog.baseline.supplies import supplies
from voicelog.baseline.view import View
from voicelog.entries import Entry, Heard
from voicelog.journal.store import Journal

SETTINGS = Settings(zone=CHICAGO, change_days={"tube_change": 7}, pressure_high=100)


class Speaker:
    """Writes rows as a conversation would."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal

    def say(self, when: datetime, kind, procedure=None, target=None, **slots) -> UUID:
        entry = Entry(kind=kind, slots=slots, procedure=procedure, target=target)
        utc = when.astimezone(UTC)
        return self.journal.append(entry, Heard(), "Ada", utc, CHICAGO.key, "1").uuid

    def suction(self, when: datetime, **slots) -> tuple[UUID, UUID]:
        opened = self.say(when, "open")
        values = self.say(when + timedelta(seconds=40), "values", opened, **slots)
        self.say(when + timedelta(minutes=1), "pass", opened, pass_seconds=8.0)
        self.say(when + timedelta(minutes=2), "close", opened)
        return opened, values


def learned(journal: Journal) -> Learner:
    learner = Learner(SETTINGS)
    learner.fill(journal.procedures(), journal.events())
    return learner


def test_rows_become_figures_and_a_restart_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    with Journal.open(path, child="Robin") as journal:
        speak = Speaker(journal)
        speak.say(at(2026, 3, 5, 10), "event", action="tube_change")
        speak.say(at(2026, 3, 5, 11), "values", catheters_on_hand=40)
        speak.say(at(2026, 3, 5, 12), "values", tag="sick")
        wrong, _ = speak.suction(at(2026, 3, 5, 13), colour="white")
        _, values = speak.suction(at(2026, 3, 5, 14), colour="white", pressure_mmhg=100)
        speak.say(at(2026, 3, 5, 14, 5), "correct", target=values, colour="green")
        speak.say(at(2026, 3, 5, 14, 6), "undo", target=wrong)
        speak.suction(at(2026, 3, 5, 14, 30), colour="green", odour="foul")
        first = learned(journal)
    with Journal.open(path, child="Robin", read_only=True) as journal:
        again = learned(journal)

    for learner in (first, again):
        view = View(learner, at(2026, 3, 5, 15))
        assert learner.history.counts.tolist() == [2]  # one was undone
        assert learner.history.procedures.column("colour").tolist() == [4, 4]  # one corrected
        assert learner.history.procedures.column("pass_seconds").tolist() == [8, 8]
        assert {f.name for f in findings(view)} == {"colour_changed", "odour"}
        assert learner.tags(view.now.date()) == {"sick"}
        assert [r.kind for r in reminders(view)] == ["tube_change"]
        due = reminders(view)[0].due.astimezone(CHICAGO)
        assert (due.day, due.hour) == (12, 10)  # over the clock change of 8 March
        assert supplies(learner.history, learner.count.pool, SETTINGS, view.now.date()) == []
    assert first.steps == again.steps


def test_what_was_spoken_is_not_spoken_again_after_a_restart(tmp_path: Path) -> None:
    now = at(2026, 3, 5, 14, 20)
    with Journal.open(tmp_path / "journal.db", child="Robin") as journal:
        speak = Speaker(journal)
        speak.suction(at(2026, 3, 5, 14), colour="green")
        view = View(learned(journal), now)
        (one,) = to_say(reminders(view), view, procedure_open=False)
        speak.say(now, "event", reminder="said", reminder_key=one.key)
        view = View(learned(journal), now + timedelta(minutes=1))
        assert to_say(reminders(view), view, procedure_open=False) == []
        speak.say(now + timedelta(minutes=2), "event", reminder="later", reminder_key=one.key)
        view = View(learned(journal), now + timedelta(minutes=40))
        assert to_say(reminders(view), view, procedure_open=False) != []
