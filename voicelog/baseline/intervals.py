"""How sure a rate, a share or a coming count is.

Only what ``scipy.special`` computes; ``scipy.stats`` takes half a second to
import and a night log should not wait for it.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import betaincinv, gammaincinv, ndtri

from voicelog.baseline.frailty import Days, latent
from voicelog.baseline.runlength import Floats, poisson_pmf


@dataclass(frozen=True)
class Range:
    """A value between ``low`` and ``high``, learned from ``n`` observations."""

    low: float
    value: float
    high: float
    n: int

    def holds(self, x: float) -> bool:
        """Return whether ``x`` lies inside, ends included."""
        return self.low <= x <= self.high


def garwood(count: float, exposure: float = 1.0, level: float = 0.95) -> Range:
    """Return the exact interval of a Poisson rate per unit of exposure.

    Source: Garwood, Biometrika 1936;28:437-442.
    """
    tail = (1 - level) / 2
    low = float(gammaincinv(count, tail)) if count > 0 else 0.0
    high = float(gammaincinv(count + 1, 1 - tail))
    return Range(low / exposure, count / exposure, high / exposure, int(count))


def share(hits: int, n: int, level: float = 0.95) -> Range:
    """Return the exact (Clopper-Pearson) interval of a share; 0 to 1 when ``n`` is 0."""
    tail = (1 - level) / 2
    low = float(betaincinv(hits, n - hits + 1, tail)) if hits > 0 else 0.0
    high = float(betaincinv(hits + 1, n - hits, 1 - tail)) if hits < n else 1.0
    return Range(low, hits / n if n else 0.0, high, n)


def spread_of(values: Floats, level: float = 0.8) -> Range | None:
    """Return median and middle ``level`` of the values, NaN left out; None when none are left."""
    kept = values[~np.isnan(values)]
    if not len(kept):
        return None
    tail = (1 - level) / 2
    low, middle, high = np.quantile(kept, [tail, 0.5, 1 - tail])
    return Range(float(low), float(middle), float(high), len(kept))


def count_range(days: Days, doubt: float, level: float = 0.8, exposure: float = 1.0) -> Range:
    """Return the range that holds a coming day's count with chance ``level``.

    Args:
        days: the learned ordinary days.
        doubt: standard deviation of the log of the learned mean.
        level: chance that the count is inside.
        exposure: share of a usual day that is counted.

    """
    spread = float(np.hypot(days.spread, doubt))
    factors, shares, _ = latent(Days(days.mean, spread, days.memory))
    mean = days.mean * exposure
    size = len(poisson_pmf(mean * float(factors.max())))
    pmf = sum(s * poisson_pmf(mean * f, size) for f, s in zip(factors, shares, strict=True))
    cumulative = np.cumsum(pmf)
    tail = (1 - level) / 2
    low = int(np.searchsorted(cumulative, tail))
    high = int(np.searchsorted(cumulative, 1 - tail))
    return Range(low, mean, high, 0)


def normal_quantile(p: float) -> float:
    """Return the standard normal quantile."""
    return float(ndtri(p))
