from datetime import UTC, date, timedelta

from tests.baseline.make import CHICAGO, at, event, procedure
from voicelog.baseline.learner import Learner
from voicelog.baseline.reminders import reminders, to_say
from voicelog.baseline.settings import Settings
from voicelog.baseline.supplies import Supply
from voicelog.baseline.view import View
from voicelog.baseline.words import load_words

SETTINGS = Settings(zone=CHICAGO, change_days={"tube_change": 7, "tie_change": 1})
WORDS = load_words()


def view(now, procedures=(), events=()) -> View:
    learner = Learner(SETTINGS)
    learner.fill(procedures, events)
    return View(learner, now)


OFF = procedure(at(2026, 1, 5, 14), colour="green")


def test_a_recheck_falls_due_and_is_spoken_once() -> None:
    before = view(at(2026, 1, 5, 14, 10), [OFF])
    assert to_say(reminders(before), before, procedure_open=False) == []
    after = view(at(2026, 1, 5, 14, 16), [OFF])
    (one,) = to_say(reminders(after), after, procedure_open=False)
    assert one.words(WORDS) == "Time to look again. It was green at 14:00. How is it now?"
    said = event(at(2026, 1, 5, 14, 16), reminder="said", reminder_key=one.key)
    told = view(at(2026, 1, 5, 14, 30), [OFF], [said])
    assert to_say(reminders(told), told, procedure_open=False) == []
    assert [r.key for r in reminders(told)] == [one.key]  # still on the list


def test_never_while_a_procedure_is_open() -> None:
    now = view(at(2026, 1, 5, 14, 16), [OFF])
    assert to_say(reminders(now), now, procedure_open=True) == []


def test_later_moves_it_and_speaks_again() -> None:
    events = [
        event(at(2026, 1, 5, 14, 16), reminder="said"),
        event(at(2026, 1, 5, 14, 17), reminder="later"),
    ]
    quiet = view(at(2026, 1, 5, 14, 46), [OFF], events)
    assert to_say(reminders(quiet), quiet, procedure_open=False) == []
    again = view(at(2026, 1, 5, 14, 47), [OFF], events)
    assert len(to_say(reminders(again), again, procedure_open=False)) == 1


def test_minutes_of_a_snooze_may_be_given() -> None:
    events = [event(at(2026, 1, 5, 14, 17), reminder="later", minutes=5)]
    (one,) = reminders(view(at(2026, 1, 5, 14, 18), [OFF], events))
    assert one.due == at(2026, 1, 5, 14, 22)


def test_done_takes_it_off_the_list() -> None:
    events = [event(at(2026, 1, 5, 14, 20), reminder="done")]
    assert reminders(view(at(2026, 1, 5, 15), [OFF], events)) == []


def test_an_answer_before_anything_is_due_means_nothing() -> None:
    events = [event(at(2026, 1, 5, 14, 5), reminder="done")]
    assert len(reminders(view(at(2026, 1, 5, 15), [OFF], events))) == 1


def test_a_later_look_ends_the_recheck() -> None:
    seen = procedure(at(2026, 1, 5, 14, 30), colour="white")
    assert reminders(view(at(2026, 1, 5, 15), [OFF, seen])) == []


def test_changes_are_due_at_the_same_clock_time_across_the_clock_change() -> None:
    done = event(at(2026, 3, 5, 10, 30), action="tube_change")
    (one,) = reminders(view(at(2026, 3, 6), [], [done]))
    assert one.due.astimezone(CHICAGO) == at(2026, 3, 12, 10, 30)
    assert one.due - done.at.astimezone(UTC) == timedelta(days=7, hours=-1)
    newer = event(at(2026, 3, 6, 9), action="tube_change")
    (one,) = reminders(view(at(2026, 3, 7), [], [done, newer]))
    assert one.due.astimezone(CHICAGO) == at(2026, 3, 13, 9)


def test_at_night_only_rechecks_are_spoken() -> None:
    done = event(at(2026, 1, 4, 23), action="tie_change")
    off = procedure(at(2026, 1, 5, 23), colour="green")
    night = view(at(2026, 1, 5, 23, 30), [off], [done])
    assert [r.kind for r in to_say(reminders(night), night, procedure_open=False)] == ["recheck"]
    morning = view(at(2026, 1, 6, 7, 1), [off], [done])
    kinds = {r.kind for r in to_say(reminders(morning), morning, procedure_open=False)}
    assert kinds == {"recheck", "tie_change"}


def test_the_same_after_a_restart() -> None:
    events = [
        event(at(2026, 1, 4, 10), action="tie_change"),
        event(at(2026, 1, 5, 14, 17), reminder="later"),
    ]
    now = at(2026, 1, 5, 15)
    first, second = view(now, [OFF], events), view(now, [OFF], events)
    assert reminders(first) == reminders(second)
    grown = Learner(SETTINGS)
    grown.note(events[0])
    grown.put(OFF)
    grown.note(events[1])
    assert reminders(View(grown, now)) == reminders(first)


def test_orders_are_spoken_from_ten_on() -> None:
    day = date(2026, 1, 5)
    stock = [Supply("catheters", 30, day, 12, 2.5, 2, 3, day + timedelta(days=2), day)]
    early, late = view(at(2026, 1, 5, 9, 59), [OFF]), view(at(2026, 1, 5, 10), [OFF])
    kinds = [
        [r.kind for r in to_say(reminders(v, stock), v, procedure_open=False)]
        for v in (early, late)
    ]
    assert kinds == [[], ["order"]]
    (order,) = [r for r in reminders(late, stock) if r.kind == "order"]
    assert order.words(WORDS) == "Time to order catheters. They last about 2 to 3 days."


def test_every_kind_has_words() -> None:
    for kind in (*SETTINGS.change_days, "hme_change", "humidifier_change"):
        assert "due" in WORDS.text("reminders", kind)
