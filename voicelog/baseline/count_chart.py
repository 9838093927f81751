"""Noticing a real change in procedures a day: two CUSUMs on a normal that keeps learning.

The chart is stepped once a day with that day's count and exposure.  A rise can
be told before the day is over (``rising_by``): the whole day's reference value
is taken off first, so an early signal is one the day's end would give too, and
the days between false alarms stay those of the daily chart.

``false_alarm_days`` is for the whole chart.  Nearly all of the false alarms
allowed are spent on rises, where days matter; a fall is sought more calmly.
"""

from collections import deque
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from voicelog.baseline.frailty import Days, reference
from voicelog.baseline.limits_table import RATIO, limit
from voicelog.baseline.pool import Pool
from voicelog.baseline.runlength import Side

RISE_SHARE = 0.95
# Days of a change teach nothing once its evidence has passed this many limits: a
# false alarm hardly ever does.  Keeping false alarms out too would teach that
# ordinary days scatter less than they do, and so make more false alarms.
SURE = 1.75
GUARD = 7  # days a day waits before it may teach: a change is often flagged late
ACCEPT = 42  # ordinary days of unbroken change after which it is the new normal
REFIT_EARLY, REFIT_LATE = 7, 28  # days between looks at the limits, before and after 8 weeks


@dataclass
class OneSide:
    """One CUSUM: its value, limits, and since when it is raised.

    Signals at ``value >= h`` (Lucas' convention) and stays raised until back at zero.
    """

    side: Side
    k: float = 0.0
    h: float = float("inf")
    value: float = 0.0
    last_zero: int = 0
    total: float = 0.0  # the value without its cap
    peak: float = 0.0  # highest total since the last zero
    since: int | None = None  # first day of the change, while raised
    flagged: int | None = None  # day of the signal, while raised

    def step(self, day: int, count: float, exposure: float) -> bool:
        """Take in one day; return True on the day the chart first signals."""
        move = count - self.k * exposure
        move = move if self.side == "rise" else -move
        self.value = max(0.0, self.value + move)
        self.total = max(0.0, self.total + move)
        self.peak = max(self.peak, self.total)
        new = self.value >= self.h and self.flagged is None
        if new:
            self.since, self.flagged = self.last_zero + 1, day
        # Capped while raised, so that the end of a change is told too.
        self.value = min(self.value, self.h)
        if self.value == 0.0:
            self.restart(day)
        return new

    def restart(self, day: int) -> None:
        """Forget the past, as when a change is over or has become the normal."""
        self.value = self.total = self.peak = 0.0
        self.last_zero = day
        self.since = self.flagged = None


class Step(NamedTuple):
    """What the chart held at the end of one day; ``h`` is infinite while learning."""

    day: int
    n: float
    exposure: float
    mean: float
    rise: float
    rise_h: float
    fall: float
    fall_h: float
    rise_new: bool
    fall_new: bool
    new_normal: bool


def _recent() -> deque[tuple[int, float, float, bool]]:
    return deque(maxlen=4 * ACCEPT)


@dataclass
class CountChart:
    """The chart of one child, stepped day by day.

    Args:
        learning_days: ordinary days before the chart may signal (at least 7).
        false_alarm_days: days between false alarms wished for, both sides together.

    """

    learning_days: int = 14
    false_alarm_days: float = 200.0
    pool: Pool = field(default_factory=Pool)
    rise: OneSide = field(default_factory=lambda: OneSide("rise"))
    fall: OneSide = field(default_factory=lambda: OneSide("fall"))
    waiting: deque[tuple[int, float, float, bool]] = field(default_factory=deque)
    fitted: Days | None = None
    normal_since: int | None = None  # first day of the normal accepted last
    kept_out: set[int] = field(default_factory=set)  # days of changes that were sure
    unfitted: int = 0  # ordinary days taken in since the limits were set
    recent: deque[tuple[int, float, float, bool]] = field(default_factory=_recent)

    @property
    def learning(self) -> bool:
        """True until the normal may be stated."""
        return self.fitted is None

    def step(self, day: int, count: float, exposure: float, *, ordinary: bool = True) -> Step:
        """Take in one finished local day (ordinal number ``day``).

        Args:
            day: proleptic Gregorian ordinal of the local date.
            count: procedures logged.
            exposure: share of a usual day covered by logging; 0 skips the day.
            ordinary: False for a day tagged sick, travelling ...: charted, not learned from.

        """
        rise_new = fall_new = accepted = False
        if exposure > 0:
            self.waiting.append((day, count, exposure, ordinary))
            self.recent.append((day, count, exposure, ordinary))
            if self.fitted is not None:
                rise_new = self._move(self.rise, day, count, exposure)
                fall_new = self._move(self.fall, day, count, exposure)
                accepted = self._accept(day)
            self._learn(day)
        return Step(
            day, count, exposure, self.pool.mean, self.rise.value, self.rise.h,
            self.fall.value, self.fall.h, rise_new, fall_new, accepted,
        )  # fmt: skip

    def copy(self) -> "CountChart":
        """Return an independent copy, quicker than a general one."""
        return replace(
            self,
            pool=replace(self.pool, days=self.pool.days.copy()),
            rise=replace(self.rise),
            fall=replace(self.fall),
            waiting=self.waiting.copy(),
            kept_out=set(self.kept_out),
            recent=self.recent.copy(),
        )

    def rising_by(self, count: float, exposure: float) -> bool:
        """Return whether ``count`` procedures so far already make today a signal.

        ``exposure`` is that of the whole day, as if the rest of it will be logged.
        """
        if self.fitted is None:
            return False
        return self.rise.value + count - self.rise.k * exposure >= self.rise.h

    def _move(self, one: OneSide, day: int, count: float, exposure: float) -> bool:
        since, peak = one.since, one.peak
        new = one.step(day, count, exposure)
        if since is not None and one.since is None and peak >= SURE * one.h:
            self.kept_out.update(range(since, day + 1))
            self.waiting = deque(d for d in self.waiting if d[0] < since)
        return new

    def _learn(self, day: int) -> None:
        early = self.fitted is None
        guard = 0 if early else GUARD
        while self.waiting and self.waiting[0][0] <= day - guard:
            then, count, exposure, ordinary = self.waiting[0]
            if self._changed(then):
                break  # whether it may teach is known when the change is over
            self.waiting.popleft()
            if ordinary:
                self.pool.add(count, exposure)
                self.unfitted += 1
        pause = REFIT_EARLY if len(self.pool) < 56 else REFIT_LATE
        if len(self.pool) >= self.learning_days and (early or self.unfitted >= pause):
            self._fit()

    def apart(self, day: int) -> bool:
        """Return whether a day belongs to a change, past and sure or still going on."""
        return day in self.kept_out or self._changed(day)

    def _changed(self, day: int) -> bool:
        return any(s.since is not None and day >= s.since for s in (self.rise, self.fall))

    def _fit(self) -> None:
        days = self.pool.learned()
        for one, share in ((self.rise, RISE_SHARE), (self.fall, 1 - RISE_SHARE)):
            one.k = reference(days, RATIO[one.side])
            one.h = limit(days, one.side, self.pool.doubt, self.false_alarm_days / share)
        self.fitted, self.unfitted = days, 0

    def _accept(self, day: int) -> bool:
        """Learn anew from a change that has lasted: it is the child's normal now."""
        since = next((s.since for s in (self.rise, self.fall) if s.since is not None), None)
        if since is None:
            return False
        lasted = [d for d in self.recent if d[0] >= since and d[3]]
        if len(lasted) < ACCEPT:
            return False
        self.pool, self.normal_since = Pool(), since
        for _, count, exposure, _ in lasted:
            self.pool.add(count, exposure)
        self.waiting.clear()
        self.kept_out = {d for d in self.kept_out if d < since}
        self.rise.restart(day)
        self.fall.restart(day)
        self._fit()
        return True
