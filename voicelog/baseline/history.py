"""All that the baselines learn from, kept in columns and updated entry by entry."""

from collections.abc import Callable, Iterable
from typing import TypeVar
from uuid import UUID

import numpy as np

from voicelog.baseline.calendar import day_start, hour_table
from voicelog.baseline.columns import EVENT_WIDTH, Columns, Procedures, event_rows, numbers, rows_of
from voicelog.baseline.coverage import Gap, cut, find_gaps, gap_between, recent_rate
from voicelog.baseline.runlength import Floats
from voicelog.baseline.settings import Settings
from voicelog.entries import Event, Procedure

MARKS = ("tag", "action", "reminder")  # events with these slots are kept whole
Entry = TypeVar("Entry", Procedure, Event)
COUNTED = "_on_hand"  # and those with a supply counted aloud: "catheters_on_hand"


class History:
    """Procedures and events of one child.

    ``put``, ``note`` and ``remove`` return the first local day (ordinal) whose
    figures may have changed.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.procedures = Procedures()
        self.events = Columns(EVENT_WIDTH)
        self.marks: dict[UUID, Event] = {}
        self.first_day = 0
        self.by_hour = np.zeros((0, 24))  # procedures by local day and hour
        self.hours = np.zeros((0, 24))
        self.gaps: list[Gap] = []
        self.last_entry = -np.inf

    @property
    def last_day(self) -> int:
        """Ordinal of the last local day with an entry; before ``first_day`` when empty."""
        return self.first_day + len(self.by_hour) - 1

    @property
    def counts(self) -> Floats:
        """Procedures of each local day from ``first_day`` on."""
        return np.asarray(self.by_hour.sum(axis=1))

    def fill(self, procedures: Iterable[Procedure], events: Iterable[Event]) -> int:
        """Replace everything, as when the program starts."""
        ordered = sorted(procedures, key=lambda p: p.started)
        self.procedures.fill((p.uuid for p in ordered), rows_of(ordered))
        happened = sorted(events, key=lambda e: e.at)
        self.events.fill((e.uuid for e in happened), event_rows(happened))
        inside = [_mark_inside(p) for p in _with_slots(ordered, _is_mark_inside)]
        kept = [*_with_slots(happened, _is_mark), *(e for e in inside if e is not None)]
        self.marks = {e.uuid: e for e in kept}
        self._rebuild()
        return self.first_day

    def put(self, procedure: Procedure) -> int:
        """Take in a procedure, new or changed."""
        old = self.procedures.row(procedure.uuid)
        row = numbers(procedure)
        self.procedures.put(procedure.uuid, row)
        inside = _mark_inside(procedure)
        self._mark(procedure.uuid, inside)
        day, start = int(row[1]), row[0]
        if old is not None and old[0] == start and old[1] == row[1]:
            return day
        if old is not None or start < self.last_entry or not len(self.by_hour):
            self._rebuild()
            return day if old is None else min(day, int(old[1]))
        changed = self._extend(start, day)
        self.by_hour[day - self.first_day, int(row[2])] += 1
        return changed

    def note(self, event: Event) -> int:
        """Take in an event, new or changed."""
        old = self.events.row(event.uuid)
        row = [float(x) for x in event_rows([event])[0]]
        self.events.put(event.uuid, row)
        self._mark(event.uuid, event if any(map(_is_mark, event.slots)) else None)
        day = int(row[1])
        if old is not None and old[0] == row[0]:
            return day
        if old is not None or row[0] < self.last_entry or not len(self.by_hour):
            self._rebuild()
            return day if old is None else min(day, int(old[1]))
        return self._extend(row[0], day)

    def remove(self, uuid: UUID) -> int:
        """Take back an undone procedure or event; unknown ones change nothing."""
        row = self.procedures.row(uuid)
        row = self.events.row(uuid) if row is None else row
        if row is None:
            return self.last_day + 1
        self.procedures.drop(uuid)
        self.events.drop(uuid)
        self.marks.pop(uuid, None)
        self._rebuild()
        return max(self.first_day, int(row[1]))

    def _mark(self, uuid: UUID, event: Event | None) -> None:
        if event is None:
            self.marks.pop(uuid, None)
        else:
            self.marks[uuid] = event

    def is_tag(self, uuid: UUID) -> bool:
        """Return whether an entry is kept as a tag."""
        return uuid in self.marks and "tag" in self.marks[uuid].slots

    def marked(self, slot: str) -> list[Event]:
        """Return the events that carry a slot, in time order."""
        return sorted((e for e in self.marks.values() if slot in e.slots), key=lambda e: e.at)

    def fluids(self) -> tuple[Floats, Floats]:
        """Return ``(days, ml)`` of every drink or feed logged."""
        fields = self.procedures
        inside = fields.column("fluid_ml")
        days = np.concatenate([self.events.table[:, 1], fields.column("day")])
        ml = np.concatenate([self.events.table[:, 2], inside])
        kept = ~np.isnan(ml)
        return days[kept], ml[kept]

    def oxygen_lpm(self) -> float | None:
        """Return the oxygen flow logged last, litres a minute; None if never."""
        starts = np.concatenate([self.procedures.table[:, 0], self.events.table[:, 0]])
        flows = np.concatenate([self.procedures.column("oxygen_lpm"), self.events.table[:, 4]])
        given = flows > 0
        return float(flows[given][starts[given].argmax()]) if given.any() else None

    def _extend(self, start: float, day: int) -> int:
        zone, first = self.settings.zone, self.first_day
        before, changed = self.last_entry, self.last_day
        if day > self.last_day:
            fresh = hour_table(self.last_day + 1, day, zone)
            self.hours = np.concatenate([self.hours, fresh])
            self.by_hour = np.concatenate([self.by_hour, np.zeros(fresh.shape)])
        gap = gap_between(before, start, recent_rate(self._recent_counts(changed), 28))
        if gap is not None:
            self.gaps.append(gap)
            cut(self.hours, first, gap, zone)
        self.last_entry = start
        return min(changed, day)

    def _recent_counts(self, day: int) -> Floats:
        i = day - self.first_day
        past = self.by_hour[max(0, i - 28) : max(0, i)].sum(axis=1)
        return np.concatenate([np.zeros(28 - len(past)), past])

    def _rebuild(self) -> None:
        starts = np.concatenate([self.procedures.table[:, 0], self.events.table[:, 0]])
        days = np.concatenate([self.procedures.table[:, 1], self.events.table[:, 1]])
        if not len(starts):
            self.by_hour, self.hours, self.gaps = np.zeros((0, 24)), np.zeros((0, 24)), []
            self.last_entry = -np.inf
            return
        order = np.argsort(starts, kind="stable")
        starts, days = starts[order], days[order]
        self.first_day = int(days.min())
        n = int(days.max()) - self.first_day + 1
        own = self.procedures.column("day") - self.first_day
        slot = (own * 24 + np.floor(self.procedures.column("hour"))).astype(int)
        self.by_hour = np.bincount(slot, minlength=n * 24).astype(float).reshape(n, 24)
        zone = self.settings.zone
        self.hours = hour_table(self.first_day, self.first_day + n - 1, zone)
        self.gaps = find_gaps(starts, days, self.counts, self.first_day)
        began = Gap(day_start(self.first_day, zone), float(starts[0]))
        for gap in (began, *self.gaps):
            cut(self.hours, self.first_day, gap, zone)
        self.last_entry = float(starts[-1])


def _is_mark(slot: str) -> bool:
    return slot in MARKS or slot.endswith(COUNTED)


def _is_mark_inside(slot: str) -> bool:
    return slot == "tag" or slot.endswith(COUNTED)


def _with_slots(entries: list[Entry], wanted: Callable[[str], bool]) -> list[Entry]:
    """Return the entries with a wanted slot; each slot name is looked at once."""
    known: set[str] = set().union(*(e.slots for e in entries))
    names = {slot for slot in known if wanted(slot)}
    return [e for e in entries if not names.isdisjoint(e.slots)]


def _mark_inside(procedure: Procedure) -> Event | None:
    """Return a tag or a supply counted in mid-procedure as an event of its own."""
    slots = {s: v for s, v in procedure.slots.items() if _is_mark_inside(s)}
    if not slots:
        return None
    return Event(
        uuid=procedure.uuid,
        child=procedure.child,
        caregiver=procedure.caregiver,
        at=procedure.started,
        kind="values",
        slots=slots,
    )
