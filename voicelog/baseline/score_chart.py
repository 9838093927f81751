"""Noticing thicker or more coloured mucus: an EWMA on the daily mean of ordered scores.

Only worse is told, so the statistic never goes below zero; its limit comes
from the run length of exactly that chart (``ewma_arl`` with one side).  Days
that resemble their neighbours and a mean that is still being learned both
widen the limit.
"""

from collections import deque
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import isnan

import numpy as np
from scipy.optimize import brentq

from voicelog.baseline.ewma import deviation, ewma
from voicelog.baseline.runlength import ewma_arl

WEIGHT = 0.2  # lambda: small enough for a steady drift, common practice
SMALLEST = 0.2  # least standard deviation of a daily mean, in steps of the scale
_GUARD, _ACCEPT, _WINDOW = 7, 42, 365  # days, as in the count chart
_SURE = 1.5  # limits; a change past this is no false alarm and does not teach
_LIKENESS, _LIKENESS_DAYS = 0.3, 60  # day-to-day correlation assumed at first; no source


@lru_cache(maxsize=64)
def limit_for(days: float, weight: float = WEIGHT) -> float:
    """Return L of the one-sided EWMA that runs ``days`` observations between false alarms."""

    def short_by(limit: float) -> float:
        return ewma_arl(weight, limit, sides=1, nodes=60) - days

    return float(brentq(short_by, 0.2, 5.0, xtol=1e-4))


@dataclass
class ScoreChart:
    """The chart of one scale, stepped day by day with the day's mean score."""

    learning_days: int = 14
    false_alarm_days: float = 200.0
    weight: float = WEIGHT
    means: deque[float] = field(default_factory=lambda: deque(maxlen=_WINDOW))
    waiting: deque[tuple[int, float, bool]] = field(default_factory=deque)
    center: float = 0.0
    edge: float = float("inf")
    value: float = 0.0
    last_calm: int = 0
    peak: float = 0.0  # highest value without its cap since the last calm day
    total: float = 0.0
    since: int | None = None
    flagged: int | None = None
    changed: list[float] = field(default_factory=list)
    _stale: int = 0

    @property
    def learning(self) -> bool:
        """True until the usual score is known."""
        return self.edge == float("inf")

    def step(self, day: int, mean: float, *, ordinary: bool = True) -> bool:
        """Take in one finished day; NaN means no score that day.  True on a new signal."""
        if isnan(mean):
            return False
        new = False
        if not self.learning:
            new = self._move(day, mean, ordinary)
        self.waiting.append((day, mean, ordinary))
        guard = 0 if self.learning else _GUARD
        while self.waiting and self.waiting[0][0] <= day - guard:
            then, score, teaches = self.waiting[0]
            if self.since is not None and then >= self.since:
                break  # whether it may teach is known when the change is over
            self.waiting.popleft()
            if teaches:
                self.means.append(score)
                self._stale += 1
        enough = len(self.means) >= self.learning_days
        pause = 7 if len(self.means) < 56 else 28  # days between looks at the limit
        if enough and (self.learning or self._stale >= pause):
            self._fit()
        return new

    def copy(self) -> "ScoreChart":
        """Return an independent copy, quicker than a general one."""
        return replace(
            self,
            means=self.means.copy(),
            waiting=self.waiting.copy(),
            changed=list(self.changed),
        )

    def _move(self, day: int, mean: float, ordinary: bool) -> bool:
        self.value = max(0.0, ewma(self.value, mean - self.center, self.weight))
        self.total = max(0.0, ewma(self.total, mean - self.center, self.weight))
        self.peak = max(self.peak, self.total)
        new = self.value >= self.edge and self.flagged is None
        if new:
            self.since, self.flagged = self.last_calm + 1, day
        if self.flagged is not None:
            self.changed += [mean] if ordinary else []
        self.value = min(self.value, 1.5 * self.edge)
        if self.value < self.edge / 2:
            since = self.since
            if since is not None and self.peak >= _SURE * self.edge:
                self.waiting = deque(d for d in self.waiting if d[0] < since)
            self._calm(day)
        if len(self.changed) >= _ACCEPT:  # it has lasted: this is usual now
            self.means = deque(self.changed, maxlen=_WINDOW)
            self.waiting.clear()
            self.value = 0.0
            self._calm(day)
            self._fit()
        return new

    def _calm(self, day: int) -> None:
        self.last_calm, self.since, self.flagged, self.changed = day, None, None, []
        self.total = self.peak = self.value

    def _fit(self) -> None:
        means = np.array(self.means)
        n, w = len(means), self.weight
        self.center = float(means.mean())
        off = means - self.center
        sd = max(float(off.std(ddof=1)), SMALLEST)
        own = float(off[1:] @ off[:-1] / max(float(off @ off), 1e-12))
        like = (_LIKENESS_DAYS * _LIKENESS + n * own) / (_LIKENESS_DAYS + n)
        like = min(max(like, 0.0), 0.8)
        self.edge = limit_for(self.false_alarm_days, w) * deviation(sd, w, like, n)
        self._stale = 0
