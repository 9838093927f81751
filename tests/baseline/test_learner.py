from datetime import date, timedelta

import numpy as np
import pytest

from tests.baseline.make import CHICAGO, at, event, procedure, steady
from voicelog.baseline.invented import Story, invent
from voicelog.baseline.learner import SCORED, Learner
from voicelog.baseline.settings import Settings

SETTINGS = Settings(zone=CHICAGO)


def figures(learner: Learner) -> tuple:
    count = learner.count
    return (
        learner.steps,
        learner.normal,
        count.pool.mean,
        (count.rise.value, count.rise.h, count.fall.value, count.fall.h),
        [(c.center, c.edge, c.value) for c in learner.scores.values()],
        learner.ordinary().tolist(),
    )


def both(procedures, events) -> list:
    return sorted([*procedures, *events], key=lambda x: getattr(x, "started", None) or x.at)


def feed(learner: Learner, entries) -> None:
    for one in entries:
        (learner.put if hasattr(one, "started") else learner.note)(one)


def test_entry_by_entry_gives_the_same_figures_as_a_restart() -> None:
    procedures, events = invent(5)
    grown, whole = Learner(SETTINGS), Learner(SETTINGS)
    feed(grown, both(procedures, events))
    whole.fill(procedures, events)
    assert figures(grown) == figures(whole)


def test_utterance_by_utterance_gives_the_same_figures() -> None:
    procedures, events = invent(6, Story(days=25, gap=None))
    grown, whole = Learner(SETTINGS), Learner(SETTINGS)
    for one in both(procedures, events):
        if hasattr(one, "started"):
            said: dict = {}
            for slot, value in one.slots.items():
                said[slot] = value
                grown.put(one.model_copy(update={"slots": dict(said), "ended": None}))
            grown.put(one)
        else:
            grown.note(one)
    whole.fill(procedures, events)
    assert figures(grown) == figures(whole)


def test_late_corrections_and_undo_give_the_same_figures() -> None:
    procedures, events = invent(7, Story(days=40, gap=None))
    grown, whole = Learner(SETTINGS), Learner(SETTINGS)
    grown.fill(procedures, events)
    changed = procedures[150].model_copy(update={"slots": {"colour": "green"}})
    grown.put(changed)
    grown.remove(procedures[20].uuid)
    late = event(procedures[100].started, tag="sick")
    grown.note(late)
    kept = [changed if p.uuid == changed.uuid else p for p in procedures]
    whole.fill([p for p in kept if p.uuid != procedures[20].uuid], [*events, late])
    assert figures(grown) == figures(whole)
    grown.remove(late.uuid)
    assert grown.tags(late.at.date()) == frozenset()


def test_a_day_teaches_only_once_a_later_day_has_begun() -> None:
    learner = Learner(SETTINGS)
    learner.fill(steady(at(2026, 1, 1), 14))
    assert len(learner.steps) == 13
    assert not learner.normal.known
    learner.put(procedure(at(2026, 1, 15, 0, 5)))
    assert len(learner.steps) == 14
    assert learner.normal.known


def test_tagged_days_do_not_teach() -> None:
    procedures = steady(at(2026, 1, 1), 30)
    extra = steady(at(2026, 1, 11), 10, hours=(3, 5, 7, 9, 11, 13, 15, 17, 19, 21))
    tags = [event(at(2026, 1, 11) + timedelta(days=i, hours=9), tag="sick") for i in range(10)]
    learner = Learner(SETTINGS)
    learner.fill([*procedures, *extra], tags)
    assert learner.count.pool.mean == pytest.approx(10, rel=0.02)
    assert learner.ordinary().sum() == 29 - 10
    assert learner.tags(date(2026, 1, 12)) == {"sick"}


def test_a_gap_is_no_quiet_day() -> None:
    procedures = steady(at(2026, 1, 1), 40)
    kept = [p for p in procedures if not at(2026, 1, 25, 12) < p.started < at(2026, 1, 28, 12)]
    learner = Learner(SETTINGS)
    learner.fill(kept)
    by_day = {s.day: s for s in learner.steps}
    first = at(2026, 1, 1).toordinal()
    assert by_day[first + 25].exposure == 0.0
    # Four of ten by noon, the last at 10:30.
    assert by_day[first + 24].exposure == pytest.approx(0.4, abs=0.05)
    assert not any(s.fall_new for s in learner.steps)
    assert learner.count.pool.mean == pytest.approx(10, rel=0.03)


@pytest.mark.parametrize(("day", "usual"), [((3, 8), 23), ((11, 1), 25)])
def test_a_day_with_a_clock_change_is_as_long_as_it_is(day, usual) -> None:
    month, on = day
    first = at(2026, month, on) - timedelta(days=30)
    learner = Learner(SETTINGS)
    learner.fill(steady(first, 40, hours=tuple(range(24))))
    step = next(s for s in learner.steps if s.day == at(2026, month, on).toordinal())
    assert step.exposure == pytest.approx(usual / 24, abs=0.01)


def test_morning_scores_stay_out_of_the_charts() -> None:
    day = steady(at(2026, 1, 1), 30, hours=(10, 12, 14, 16, 18, 20), colour="clear")
    morning = steady(at(2026, 1, 1), 30, hours=(7, 8), colour="cloudy")
    learner = Learner(SETTINGS)
    learner.fill([*day, *morning])
    assert learner.scores["colour"].center == 0.0
    assert learner.normal.measured["colour"].high == 0.0
    assert learner.normal.morning["colour"].value == 2.0


def test_an_empty_learner() -> None:
    learner = Learner(SETTINGS)
    learner.fill([])
    assert not learner.normal.known
    assert learner.ordinary().tolist() == []
    assert set(learner.scores) == set(SCORED)


def test_entries_in_another_zone_keep_their_local_day() -> None:
    from zoneinfo import ZoneInfo

    tokyo = ZoneInfo("Asia/Tokyo")
    learner = Learner(SETTINGS)
    learner.fill(steady(at(2026, 1, 1), 5))
    learner.put(procedure(at(2026, 1, 5, 23, 50).astimezone(tokyo)))
    assert learner.history.last_day == date(2026, 1, 6).toordinal()
    assert np.all(learner.history.hours >= 0)


def test_a_tag_that_is_corrected_or_undone_is_forgotten() -> None:
    learner = Learner(SETTINGS)
    learner.fill(steady(at(2026, 1, 1), 20))
    tag = event(at(2026, 1, 10, 9), tag="sick")
    inside = procedure(at(2026, 1, 12, 9), tag="fever")
    learner.note(tag)
    learner.put(inside)
    assert learner.tags(date(2026, 1, 10)) == {"sick"}
    assert learner.tags(date(2026, 1, 12)) == {"fever"}
    learner.note(tag.model_copy(update={"slots": {"fluid_ml": 50}}))
    learner.put(inside.model_copy(update={"slots": {}}))
    assert learner.tags(date(2026, 1, 10)) == learner.tags(date(2026, 1, 12)) == frozenset()
    assert learner.ordinary().all()
