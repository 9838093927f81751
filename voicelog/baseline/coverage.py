"""Which hours were covered by logging, and which were a gap.

A stretch with nothing logged is a gap when, at the child's recent rate, about
seven procedures would have fallen into it: by chance that happens once in a
thousand stretches (Poisson), and a day with a gap must not look like a quiet
day.  Half a usual pause at each end still counts as covered.
"""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np

from voicelog.baseline.calendar import HOUR, hours_between
from voicelog.baseline.runlength import Floats

EXPECTED_IN_GAP = 7.0
SHORTEST, LONGEST, UNKNOWN = 10.0, 48.0, 12.0  # hours: a gap's least and most length, and before
_RECENT = 28  # days of counts that the recent rate is taken from


@dataclass(frozen=True)
class Gap:
    """A stretch without logging, epoch seconds."""

    start: float
    end: float


def recent_rate(counts: Floats, day: int) -> float | None:
    """Return the median count of the logged days among the 28 before ``day`` (an index).

    None when fewer than 7 are there.
    """
    past = counts[max(0, day - _RECENT) : max(0, day)]
    past = past[past > 0]
    return float(np.median(past)) if len(past) >= 7 else None


def gap_hours(rate: float | None) -> float:
    """Return how long a pause must be to count as a gap, in hours."""
    if rate is None:
        return UNKNOWN
    return float(min(max(EXPECTED_IN_GAP * 24 / rate, SHORTEST), LONGEST))


def gap_between(before: float, after: float, rate: float | None) -> Gap | None:
    """Return the uncovered stretch between two neighbouring entries, or None."""
    limit = gap_hours(rate) * HOUR
    if after - before <= limit:
        return None
    pad = 12 * HOUR / rate if rate else HOUR
    pad = min(pad, limit / 4)
    return Gap(before + pad, after - pad)


def cut(hours: Floats, first_day: int, gap: Gap, zone: ZoneInfo) -> None:
    """Take a gap out of the hours covered, shape ``(days, 24)``, in place."""
    for day, hour, length in hours_between(gap.start, gap.end, zone):
        i = day - first_day
        if 0 <= i < len(hours):
            hours[i, hour] = max(0.0, hours[i, hour] - length)


def find_gaps(times: Floats, days: Floats, counts: Floats, first_day: int) -> list[Gap]:
    """Return every gap in a history.

    Args:
        times: epoch seconds of all entries, sorted.
        days: their local day ordinals.
        counts: procedures of each day from ``first_day`` on.
        first_day: ordinal of ``counts[0]``.

    """
    gaps = []
    for i in np.flatnonzero(np.diff(times) > SHORTEST * HOUR):
        rate = recent_rate(counts, int(days[i]) - first_day)
        gap = gap_between(float(times[i]), float(times[i + 1]), rate)
        if gap is not None:
            gaps.append(gap)
    return gaps
