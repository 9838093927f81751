"""What is left in the cupboard, for how long, and when to order."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from scipy.special import ndtr

from voicelog.baseline.history import COUNTED, History
from voicelog.baseline.intervals import share
from voicelog.baseline.pool import Pool
from voicelog.baseline.runlength import Floats
from voicelog.baseline.settings import Settings

_FAR = 3 * 365  # days looked ahead
_RISK = 0.1  # chance each side of the interval that it lasts shorter or longer
_SAID_SHARE = 0.5  # saline share assumed before anything is logged; no source


@dataclass(frozen=True)
class Supply:
    """One kind of supply.

    Args:
        name: as in the plan, "catheters".
        left: pieces left now, estimated from the last count and use since.
        counted: local date of the last count said aloud; None when only the plan has one.
        a_day: pieces used on a usual day.
        days: expected days left; ``days_low`` to ``days_high`` holds with chance 80 %.
        run_out: the date at ``days_low``.
        reorder_by: latest date to order so that it comes before ``run_out``.

    """

    name: str
    left: float
    counted: date | None
    a_day: float
    days: float
    days_low: int
    days_high: int
    run_out: date
    reorder_by: date


def supplies(history: History, pool: Pool, settings: Settings, today: date) -> list[Supply]:
    """Return every supply that was counted, soonest to run out first.

    Counts said aloud win over the plan's; use since then is taken from the
    procedures logged.  Empty until there is a usual number of procedures.
    """
    if pool.mean <= 0:
        return []
    found = []
    for name, (count, since, counted) in _counts(history, settings).items():
        used, chance = _use(history, settings, name, since)
        a_day = pool.mean * chance
        if a_day <= 0:
            continue
        left = max(0.0, count - used)
        low, high = lasting(left, pool, chance, _each(settings, name))
        run_out = today + timedelta(days=low)
        order = max(today, run_out - timedelta(days=settings.delivery_days))
        days = left / a_day
        found.append(Supply(name, left, counted, a_day, days, low, high, run_out, order))
    return sorted(found, key=lambda s: (s.days_low, s.name))


def lasting(left: float, pool: Pool, chance: float, each: float) -> tuple[int, int]:
    """Return the days that the stock lasts: 10 % last shorter, 10 % longer.

    The use of n days has mean ``n * rate`` and the variance of over-dispersed
    days, the saline chance and the doubt about the learned mean together;
    normal approximation, checked by simulation in the tests.

    Args:
        left: pieces left.
        pool: the ordinary days.
        chance: pieces used by an average procedure.
        each: pieces used at once.

    """
    n = np.arange(1, _FAR + 1, dtype=float)
    days = pool.learned()
    mean = n * days.mean * chance
    carried = (1 + days.memory) / (1 - days.memory)
    frailty = (days.variance - days.mean) * carried * n
    variance = each * mean + chance**2 * (frailty + (n * days.mean * pool.doubt) ** 2)
    empty = ndtr((mean - left + each / 2) / np.sqrt(variance))
    return _first(empty, _RISK), _first(empty, 1 - _RISK)


def _first(chances: Floats, level: float) -> int:
    reached = np.flatnonzero(chances >= level)
    return int(reached[0]) if len(reached) else _FAR


def _counts(history: History, settings: Settings) -> Mapping[str, tuple[float, float, date | None]]:
    """Last count of each supply: pieces, from when on use is taken off, and its date."""
    found: dict[str, tuple[float, float, date | None]] = {
        name: (float(n), history.last_entry, None) for name, n in settings.stock.items()
    }
    for event in sorted(history.marks.values(), key=lambda e: e.at):
        for slot, value in event.slots.items():
            if slot.endswith(COUNTED) and isinstance(value, (int, float)):
                name = slot.removesuffix(COUNTED)
                found[name] = (float(value), event.at.timestamp(), event.at.date())
    return found


def _each(settings: Settings, name: str) -> float:
    return settings.per_procedure.get(name, settings.per_saline.get(name, 0.0))


def _use(history: History, settings: Settings, name: str, since: float) -> tuple[float, float]:
    """Return pieces used since a moment, and pieces an average procedure uses."""
    start, saline = history.procedures.column("start"), history.procedures.column("saline")
    later = start > since
    each = _each(settings, name)
    if name in settings.per_procedure:
        return float(later.sum()) * each, each
    recent = saline[-500:]
    said = share(int(recent.sum()), len(recent)).value if len(recent) else _SAID_SHARE
    return float(saline[later].sum()) * each, each * said
