"""What is due: re-checks, changes and orders; worked out from the journal alone.

Nothing is kept but the journal, so a restart loses nothing.  Minutes are
counted in real time and days in calendar days of the home's zone, so a clock
change moves no reminder.

Events that bear on reminders carry the slot ``reminder``: "said" (the lead
writes it when a reminder was spoken), "later" or "done" (what the caregiver
answered), and, if known, ``reminder_key``; without a key they are about the
oldest that is due.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta

from voicelog.baseline.calendar import add_days, at_local
from voicelog.baseline.recheck import Slot, checks
from voicelog.baseline.supplies import Supply
from voicelog.baseline.view import View
from voicelog.baseline.words import Words
from voicelog.entries import Event

SNOOZE_MINUTES = 30
ORDER_AT = time(10, 0)  # local time at which an order is spoken of
_SLOTS: tuple[Slot, ...] = ("colour", "thickness")


@dataclass(frozen=True)
class Reminder:
    """One thing due.

    Args:
        key: the same after every restart.
        kind: "recheck", "order", or the action of a change ("tube_change").
        due: when, aware, UTC; moved on by "later".
        numbers: what its words are filled with.
        at_night: may be spoken at night.
        said: when it was last spoken since it fell due, or None.

    """

    key: str
    kind: str
    due: datetime
    numbers: Mapping[str, object]
    at_night: bool = False
    said: datetime | None = None

    def words(self, words: Words) -> str:
        """Return the sentence to speak."""
        return words.text("reminders", self.kind, **self.numbers)


def reminders(view: View, stock: list[Supply] | None = None) -> list[Reminder]:
    """Return everything that is due or will be, soonest first, answers applied."""
    planned = [*_rechecks(view), *_changes(view), *_orders(view, stock or [])]
    open_ones = {r.key: r for r in planned}
    for event in view.learner.history.marked("reminder"):
        if event.at <= view.now:
            _answer(open_ones, event)
    return sorted(open_ones.values(), key=lambda r: (r.due, r.key))


def to_say(due: list[Reminder], view: View, *, procedure_open: bool) -> list[Reminder]:
    """Return the reminders to speak now: due, not yet said, nobody busy, allowed at night."""
    if procedure_open:
        return []
    local = view.now.astimezone(view.settings.zone).time()
    night = view.settings.is_night(local)
    ready = [r for r in due if r.due <= view.now and r.said is None]
    return [r for r in ready if r.at_night or not night]


def _rechecks(view: View) -> list[Reminder]:
    found = []
    for slot in _SLOTS:
        for check in checks(view, slot):
            if check.seen is None:
                at = check.at.astimezone(view.settings.zone)
                numbers = {"value": check.value, "time": f"{at:%H:%M}"}
                key = f"recheck:{check.key}"
                found.append(Reminder(key, "recheck", check.due, numbers, at_night=True))
    return found


def _changes(view: View) -> list[Reminder]:
    last: dict[str, datetime] = {}
    for event in view.learner.history.marked("action"):
        if event.at <= view.now:
            last[str(event.slots["action"])] = event.at
    found = []
    for action, days in view.settings.change_days.items():
        if action in last:
            due = add_days(last[action], days, view.settings.zone).astimezone(UTC)
            key = f"{action}:{int(last[action].timestamp())}"
            found.append(Reminder(key, action, due, {}))
    return found


def _orders(view: View, stock: list[Supply]) -> list[Reminder]:
    found = []
    for supply in stock:
        due = at_local(supply.reorder_by.toordinal(), ORDER_AT, view.settings.zone)
        numbers = {"name": supply.name, "low": supply.days_low, "high": supply.days_high}
        # One key a count: counting again after a delivery starts anew.
        key = f"order:{supply.name}:{supply.counted or 'plan'}"
        found.append(Reminder(key, "order", due, numbers))
    return found


def _answer(open_ones: dict[str, Reminder], event: Event) -> None:
    key = event.slots.get("reminder_key")
    if key is None:
        due = [r for r in open_ones.values() if r.due <= event.at]
        key = min(due, key=lambda r: r.due).key if due else None
    if not isinstance(key, str) or key not in open_ones:
        return
    answer = event.slots["reminder"]
    if answer == "done":
        del open_ones[key]
    elif answer == "later":
        minutes = event.slots.get("minutes", SNOOZE_MINUTES)
        wait = timedelta(minutes=float(minutes) if isinstance(minutes, (int, float)) else 30.0)
        open_ones[key] = replace(open_ones[key], due=event.at.astimezone(UTC) + wait, said=None)
    elif event.at >= open_ones[key].due:
        open_ones[key] = replace(open_ones[key], said=event.at)
