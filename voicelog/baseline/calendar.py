"""Local days and their real hours: 23 or 25 of them where the clock changes."""

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np

from voicelog.baseline.runlength import Floats

HOUR = 3600.0


@lru_cache(maxsize=8192)
def day_start(ordinal: int, zone: ZoneInfo) -> float:
    """Return the epoch seconds at which a local day begins.

    Where midnight does not exist the day begins with the first moment that does.
    """
    midnight = datetime.combine(date.fromordinal(ordinal), time(), tzinfo=zone)
    return midnight.timestamp()


def ordinal_of(epoch: float, zone: ZoneInfo) -> int:
    """Return the ordinal of the local day that holds a moment."""
    return datetime.fromtimestamp(epoch, zone).toordinal()


def hour_of(epoch: float, zone: ZoneInfo) -> float:
    """Return the local time of day in hours."""
    local = datetime.fromtimestamp(epoch, zone)
    return local.hour + local.minute / 60 + local.second / 3600


def hours_between(start: float, end: float, zone: ZoneInfo) -> list[tuple[int, int, float]]:
    """Return ``(day, local hour, real hours)`` pieces of a stretch of time.

    Local hours begin on the zone's own full hours, so that a repeated hour
    comes twice and a skipped one not at all.
    """
    pieces = []
    at = start
    while at < end:
        local = datetime.fromtimestamp(at, zone)
        into = local.minute * 60 + local.second + local.microsecond / 1e6
        step = min(HOUR - into, end - at)
        if step <= 0:  # pragma: no cover - rounding of the last microsecond
            break
        pieces.append((local.toordinal(), local.hour, step / HOUR))
        at += step
    return pieces


def hour_table(first: int, last: int, zone: ZoneInfo) -> Floats:
    """Return the real hours behind each local hour, shape ``(days, 24)``.

    All ones but for days on which the clock changes.
    """
    days = last - first + 1
    table = np.ones((days, 24))
    starts = np.array([day_start(d, zone) for d in range(first, last + 2)])
    for i in np.flatnonzero(np.abs(np.diff(starts) - 24 * HOUR) > 1):
        table[i] = 0.0
        for _, hour, length in hours_between(starts[i], starts[i + 1], zone):
            table[i, hour] += length
    return table


def at_local(day: int, moment: time, zone: ZoneInfo) -> datetime:
    """Return a local time of day as an aware UTC moment.

    A time the clock skips is taken an hour later; of a repeated one the first.
    """
    local = datetime.combine(date.fromordinal(day), moment, tzinfo=zone)
    return local.astimezone(UTC)


def add_days(moment: datetime, days: int, zone: ZoneInfo) -> datetime:
    """Return the same local time of day ``days`` calendar days later."""
    local = moment.astimezone(zone)
    later = local.date() + timedelta(days=days)
    return datetime.combine(later, local.time(), tzinfo=zone)
