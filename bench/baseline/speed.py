"""How long five years of log take, and one more utterance."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from time import perf_counter
from uuid import UUID

from voicelog.baseline.invented import Story, invent
from voicelog.baseline.learner import Learner
from voicelog.baseline.reasons import findings
from voicelog.baseline.reminders import reminders
from voicelog.baseline.settings import Settings
from voicelog.baseline.supplies import supplies
from voicelog.baseline.today import how_is_today
from voicelog.baseline.view import View
from voicelog.baseline.words import load_words
from voicelog.entries import Procedure

DAYS = 5 * 365 + 1
WORDS = load_words()


@dataclass(frozen=True)
class Timed:
    what: str
    median_ms: float
    worst_ms: float
    goal_ms: float


def everything(learner: Learner, view: View) -> int:
    """Every baseline, flag and supply figure, and the answer to "how is today?"."""
    stock = supplies(learner.history, learner.count.pool, learner.settings, view.now.date())
    due = reminders(view, stock)
    normal = learner.normal
    return (
        len(findings(view)) + len(stock) + len(due) + normal.days + len(how_is_today(view, WORDS))
    )


def _time(
    what: str,
    goal_ms: float,
    run: Callable[[], object],
    times: int,
    reset: Callable[[], object] = lambda: None,
) -> Timed:
    took = []
    for _ in range(times):
        start = perf_counter()
        run()
        took.append(1000 * (perf_counter() - start))
        reset()
    return Timed(what, median(took), max(took), goal_ms)


def measure() -> tuple[str, list[Timed]]:
    story = Story(
        first=date(2021, 1, 4),
        days=DAYS,
        a_day=13.7,
        infection=range(400, 408),
        humid=range(700, 707),
        gap=(1000, 1002),
    )
    procedures, events = invent(1, story)
    settings = Settings(
        zone=story.zone, fluid_target_ml=900, pressure_high=100, change_days={"tube_change": 7}
    )
    learner = Learner(settings)
    last = procedures[-1]
    view = View(learner, last.started + timedelta(minutes=5))

    def restart() -> None:
        learner.fill(procedures, events)
        everything(learner, view)

    found = [_time("start: five years, every figure", 300, restart, 7)]
    count = 0

    def utterance() -> None:
        nonlocal count
        count += 1
        slots = {**last.slots, "spo2": 90 + count % 9}
        learner.put(last.model_copy(update={"slots": slots}))
        everything(learner, view)

    found.append(_time("one more utterance in a procedure", 20, utterance, 50))

    day = 0

    def new_day() -> None:
        nonlocal day
        day += 1
        later = last.started + timedelta(days=day)
        learner.put(last.model_copy(update={"uuid": UUID(int=day), "started": later}))
        everything(learner, View(learner, later + timedelta(minutes=5)))

    found.append(_time("first procedure of a new day", 20, new_day, 30))

    for what, old in (("yesterday", procedures[-30]), ("years ago", procedures[12_000])):

        def correct(old: Procedure = old) -> None:
            learner.put(old)
            everything(learner, view)

        found.append(_time(f"correction of an entry of {what}", 20, correct, 9))

    def undo() -> None:
        learner.remove(newest.uuid)
        everything(learner, view)

    newest = last.model_copy(update={"uuid": UUID(int=day)})
    newest = newest.model_copy(update={"started": last.started + timedelta(days=day)})
    found.append(_time("undo of a procedure", 20, undo, 9, lambda: learner.put(newest)))
    rows = sum(2 + len(p.slots) + len(p.passes) for p in procedures) + len(events)
    size = f"{len(procedures)} procedures, {len(events)} events, about {rows} values"
    return size, found
