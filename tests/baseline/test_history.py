from datetime import timedelta

import numpy as np
import pytest

from tests.baseline.make import CHICAGO, at, event, procedure, steady
from voicelog.baseline.history import History
from voicelog.baseline.invented import Story, invent
from voicelog.baseline.settings import Settings

SETTINGS = Settings(zone=CHICAGO)


def same(one: History, other: History) -> None:
    assert one.first_day == other.first_day
    assert one.last_entry == other.last_entry
    np.testing.assert_array_equal(one.by_hour, other.by_hour)
    np.testing.assert_allclose(one.hours, other.hours, atol=1e-9)
    assert one.gaps == other.gaps
    np.testing.assert_array_equal(one.procedures.table, other.procedures.table)
    np.testing.assert_array_equal(one.events.table, other.events.table)
    assert set(one.marks) == set(other.marks)


def test_entry_by_entry_gives_the_same_as_all_at_once() -> None:
    procedures, events = invent(3, Story(days=85))
    whole, grown = History(SETTINGS), History(SETTINGS)
    whole.fill(procedures, events)
    both = sorted([*procedures, *events], key=lambda x: getattr(x, "started", None) or x.at)
    for one in both:
        (grown.put if hasattr(one, "started") else grown.note)(one)
    same(whole, grown)
    assert len(whole.gaps) == 1


def test_entries_out_of_order_change_nothing() -> None:
    procedures, events = invent(4, Story(days=6, gap=None))
    whole, shuffled = History(SETTINGS), History(SETTINGS)
    whole.fill(procedures, events)
    order = np.random.default_rng(1).permutation(len(procedures))
    for i in order:
        shuffled.put(procedures[i])
    for one in events:
        shuffled.note(one)
    same(whole, shuffled)


def test_a_changed_procedure_replaces_itself() -> None:
    history = History(SETTINGS)
    one = procedure(at(2026, 1, 5, 8), colour="white")
    history.put(one)
    day = history.put(one.model_copy(update={"slots": {"colour": "green"}}))
    assert day == at(2026, 1, 5).toordinal()
    assert history.procedures.column("colour").tolist() == [4]
    assert history.counts.tolist() == [1]


def test_a_moved_or_undone_procedure_leaves_its_day() -> None:
    history = History(SETTINGS)
    one = procedure(at(2026, 1, 5, 8))
    history.put(one)
    history.put(procedure(at(2026, 1, 6, 8)))
    moved = one.model_copy(update={"started": at(2026, 1, 6, 7)})
    assert history.put(moved) == at(2026, 1, 5).toordinal()
    assert history.counts.tolist() == [2]
    assert history.remove(one.uuid) == at(2026, 1, 6).toordinal()
    assert history.counts.tolist() == [1]
    assert history.remove(one.uuid) > history.last_day  # nothing to do


def test_an_empty_history_is_fine() -> None:
    history = History(SETTINGS)
    history.fill([], [])
    assert history.last_day < history.first_day
    only = event(at(2026, 1, 5), fluid_ml=100)
    history.note(only)
    history.remove(only.uuid)
    assert len(history.by_hour) == 0


def test_fluid_inside_a_procedure_counts_too() -> None:
    history = History(SETTINGS)
    history.fill(
        [procedure(at(2026, 1, 5, 8), fluid_ml=30)], [event(at(2026, 1, 5, 9), fluid_ml=100)]
    )
    days, ml = history.fluids()
    assert ml.sum() == 130
    assert set(days) == {at(2026, 1, 5).toordinal()}


def test_a_count_said_during_a_procedure_is_a_mark() -> None:
    history = History(SETTINGS)
    history.put(procedure(at(2026, 1, 5, 8), catheters_on_hand=40))
    (mark,) = history.marks.values()
    assert mark.slots == {"catheters_on_hand": 40}


@pytest.mark.parametrize(("month", "day", "hours"), [(3, 8, 23), (11, 1, 25)])
def test_hours_covered_on_days_the_clock_changes(month, day, hours) -> None:
    history = History(SETTINGS)
    first = at(2026, month, day) - timedelta(days=10)
    history.fill(steady(first, 20, hours=tuple(range(0, 24, 3))), [])
    index = at(2026, month, day).toordinal() - history.first_day
    assert history.hours[index].sum() == hours
    assert history.hours[index + 1].sum() == 24
