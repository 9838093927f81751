"""The learner of one child: fed with journal views, it knows the normal and what changed.

A day is settled, and may then teach and be charted, once an entry of a later
day is there: only then is it known how much of it was covered by logging.  The
same journal always gives the same figures, whatever the clock says now.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import NamedTuple
from uuid import UUID

import numpy as np

from voicelog.baseline.count_chart import CountChart, Step
from voicelog.baseline.history import History
from voicelog.baseline.normal import Mask, Normal, learn
from voicelog.baseline.profile import Profile
from voicelog.baseline.runlength import Floats
from voicelog.baseline.score_chart import ScoreChart
from voicelog.baseline.settings import Settings
from voicelog.baseline.tags import tagged_days
from voicelog.entries import Event, Procedure

SCORED = ("colour", "thickness")
_SAVE_EVERY = 28  # days between saved states
_WHOLE = 1e-9  # hours: rounding allowed in a day that is logged from end to end


class _Saved(NamedTuple):
    """The state after ``settled`` days, so that an old correction is not a new start."""

    first: int
    settled: int
    chart: CountChart
    scores: dict[str, ScoreChart]
    profile: Profile


class Learner:
    """Baselines, charts and marks of one child, updated entry by entry."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.history = History(settings)
        self._tags: dict[int, frozenset[str]] = {}
        self._start_over()

    def _start_over(self) -> None:
        days, between = self.settings.learning_days, self.settings.false_alarm_days
        self.count = CountChart(days, between)
        self.scores = {slot: ScoreChart(days, between) for slot in SCORED}
        self.profile = Profile()
        self.steps: list[Step] = []
        self._saved: list[_Saved] = []
        self._settled = 0  # days settled, counted from the first
        self._normal: Normal | None = None

    def fill(self, procedures: Iterable[Procedure], events: Iterable[Event] = ()) -> None:
        """Learn from a whole journal, as when the program starts."""
        self.history.fill(procedures, events)
        self._tags = tagged_days(self.history.marked("tag"))
        self._start_over()
        self._settle()

    def put(self, procedure: Procedure) -> None:
        """Take in a procedure, new or with one more utterance in it."""
        tag = self.history.is_tag(procedure.uuid)
        self._after(self.history.put(procedure), procedure.uuid, tag=tag)

    def note(self, event: Event) -> None:
        """Take in an event; a tag on a past day lets that day be learned anew."""
        tag = self.history.is_tag(event.uuid)
        day = min(self.history.note(event), event.at.toordinal())
        self._after(day, event.uuid, tag=tag)

    def remove(self, uuid: UUID) -> None:
        """Take back an undone procedure or event."""
        tag = self.history.is_tag(uuid)
        self._after(self.history.remove(uuid), uuid, tag=tag)

    @property
    def normal(self) -> Normal:
        """The child's normal as of the last settled day."""
        if self._normal is None:
            self._normal = learn(self.history, self.ordinary(), self.count, self.settings)
        return self._normal

    def tags(self, day: date) -> frozenset[str]:
        """Return the context tags of a local day."""
        return self._tags.get(day.toordinal(), frozenset())

    def ordinary(self) -> Mask:
        """Return which settled days teach the normal, shape ``(days,)`` from the first day."""
        first, since = self.history.first_day, self.count.normal_since or 0
        days = [first + i for i in range(self._settled)]
        covered = self.history.hours[: self._settled].sum(axis=1) > 0
        teach = np.array(
            [d not in self._tags and not self.count.apart(d) and d >= since for d in days]
        )
        return np.asarray(teach.astype(bool) & covered)

    def exposure(self, day: int) -> float:
        """Return the share of a usual day's procedures that a day's logged hours would hold."""
        return self.profile.exposure(self.history.hours[day - self.history.first_day])

    def _after(self, changed: int, uuid: UUID, *, tag: bool) -> None:
        """Settle anew from a changed day; ``tag``: the entry was a tag before."""
        if tag or self.history.is_tag(uuid):
            self._tags = tagged_days(self.history.marked("tag"))
        if changed < self.history.first_day + self._settled:
            self._go_back(changed - self.history.first_day)
        self._settle()

    def _go_back(self, day: int) -> None:
        """Return to the last saved state with no more than ``day`` days settled."""
        saved = [s for s in self._saved if s.settled <= day and s.first == self.history.first_day]
        if not saved:
            self._start_over()
            return
        back = saved[-1]
        self._saved, self._settled, self._normal = saved, back.settled, None
        self.steps = self.steps[: back.settled]
        self.count = back.chart.copy()
        self.scores = {slot: chart.copy() for slot, chart in back.scores.items()}
        self.profile = replace(back.profile)

    def _save(self, settled: int) -> None:
        scores = {slot: chart.copy() for slot, chart in self.scores.items()}
        first, profile = self.history.first_day, replace(self.profile)
        self._saved.append(_Saved(first, settled, self.count.copy(), scores, profile))

    def _settle(self) -> None:
        first, last = self.history.first_day, self.history.last_day
        todo = range(first + self._settled, last)
        if not todo:
            return
        means = {slot: self._day_means(slot, todo).tolist() for slot in SCORED}
        new = slice(self._settled, last - first)
        totals = self.history.by_hour[new].sum(axis=1).tolist()
        whole = (abs(self.history.hours[new] - 1.0).max(axis=1) < _WHOLE).tolist()
        for i, day in enumerate(todo):
            at = day - first
            ordinary = day not in self._tags
            counts, hours = self.history.by_hour[at], self.history.hours[at]
            exposure = 1.0 if whole[i] else self.profile.exposure(hours)
            step = self.count.step(day, totals[i], exposure, ordinary=ordinary)
            self.steps.append(step)
            for slot in SCORED:
                self.scores[slot].step(day, means[slot][i], ordinary=ordinary)
            if ordinary:
                self.profile.add(counts, hours)
            if (at + 1) % _SAVE_EVERY == 0:
                self._save(at + 1)
        self._settled = last - first
        self._normal = None

    def _day_means(self, slot: str, days: range) -> Floats:
        """Mean score of each day outside the morning hours; NaN with fewer than two scores."""
        rows = self.history.procedures
        value, day = rows.column(slot), rows.column("day")
        wake, until = self.settings.wake_hour, self.settings.morning_hours
        after_waking = (rows.column("hour") - wake) % 24 < until
        kept = ~np.isnan(value) & ~after_waking & (day >= days.start) & (day < days.stop)
        at = (day[kept] - days.start).astype(int)
        n = np.bincount(at, minlength=len(days))
        total = np.bincount(at, weights=value[kept], minlength=len(days))
        return np.where(n >= 2, total / np.maximum(n, 1), np.nan)
