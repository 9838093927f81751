"""Run lengths when days are not alike: good and bad days, and runs of bad days.

The day's rate is ``mean * exp(spread * z)`` (scaled to keep the mean), where
``z`` is standard normal and passes from day to day with correlation
``memory``.  Counts given the rate are Poisson, so counts over all days are
over-dispersed: variance about ``mean * (1 + mean * spread**2)``.  ``z`` is put
on Gauss-Hermite nodes, and the chart's value and ``z`` together make one
finite Markov chain.

Source for the nodes: Tauchen & Hussey, Econometrica 1991;59:371-396 (from memory).
"""

from dataclasses import dataclass
from math import exp, expm1, log, log1p, sqrt

import numpy as np

from voicelog.baseline.runlength import Floats, Side, cusum_chain, poisson_pmf

MEMORY = 0.5  # correlation of neighbouring days; an assumption, varied in bench/baseline
_VALUES = 7


@dataclass(frozen=True)
class Days:
    """How a child's ordinary days scatter.

    Args:
        mean: events a day.
        spread: standard deviation of the log of the day's rate (0 = plain Poisson).
        memory: correlation of that log between neighbouring days.

    """

    mean: float
    spread: float = 0.0
    memory: float = MEMORY

    @property
    def variance(self) -> float:
        """Variance of one day's count (events squared)."""
        return self.mean + self.mean**2 * expm1(self.spread**2)

    @property
    def deviation(self) -> float:
        """Standard deviation of one day's count."""
        return sqrt(self.variance)


def latent(days: Days, values: int = _VALUES) -> tuple[Floats, Floats, Floats]:
    """Return rate factors, their long-run shares and the day-to-day transition matrix.

    Shapes ``(values,)``, ``(values,)`` and ``(values, values)``; a plain
    Poisson child has one value.
    """
    if days.spread == 0:
        return np.ones(1), np.ones(1), np.ones((1, 1))
    z, shares = np.polynomial.hermite_e.hermegauss(values)
    shares = shares / shares.sum()
    gap = (z[None, :] - days.memory * z[:, None]) ** 2 / (1 - days.memory**2)
    move = shares * np.exp((z[None, :] ** 2 - gap) / 2)
    move /= move.sum(axis=1, keepdims=True)
    factors = np.exp(days.spread * z)
    return factors / (factors @ shares), shares, move


def reference(days: Days, ratio: float) -> float:
    """Return the reference value k (events a day) that best tells ``ratio`` times the mean.

    It is the zero of the log-likelihood ratio of one day's count, Poisson
    (Lucas 1985) or, with spread, negative binomial with the same variance.
    """
    if days.spread == 0:
        return days.mean * (ratio - 1) / log(ratio)
    a = expm1(days.spread**2)
    usual, changed = a * days.mean, a * ratio * days.mean
    gain = log(ratio) + log1p(usual) - log1p(changed)
    return (log1p(changed) - log1p(usual)) / a / gain


def daily_cusum_arl(
    days: Days, k: float, h: float, *, side: Side = "rise", step: float = 0.25
) -> float:
    """Return the average number of days to a signal (S >= h), from zero on an average day."""
    factors, shares, move = latent(days)
    chains = [cusum_chain(poisson_pmf(days.mean * f), k, h, side, step) for f in factors]
    n, m = len(chains[0]), len(factors)
    whole = np.concatenate([np.kron(move[:, [j]], chains[j]) for j in range(m)], axis=1)
    lengths = np.linalg.solve(np.eye(n * m) - whole, np.ones(n * m))
    value = float(shares @ lengths.reshape(m, n)[:, 0])
    return value if value > 0 else float("inf")


def draw_days(days: Days, shape: tuple[int, int], rng: np.random.Generator) -> Floats:
    """Return the rates of ``(days, homes)`` as the model above says, z truly normal."""
    z = rng.standard_normal(shape[1])
    fresh = sqrt(1 - days.memory**2)
    rates = np.empty(shape)
    for day in range(shape[0]):
        rates[day] = days.mean * np.exp(days.spread * z) * exp(-(days.spread**2) / 2)
        z = days.memory * z + fresh * rng.standard_normal(shape[1])
    return rates


def simulate_daily_arl(
    days: Days, k: float, h: float, rng: np.random.Generator, *, side: Side = "rise", runs: int
) -> tuple[float, float]:
    """Return the mean run length of ``runs`` simulated charts and its standard error."""
    s = np.zeros(runs)
    z = rng.standard_normal(runs)
    fresh = sqrt(1 - days.memory**2)
    sign = 1.0 if side == "rise" else -1.0
    ended: list[int] = []
    day = 0
    while len(s):
        day += 1
        rate = days.mean * np.exp(days.spread * z - days.spread**2 / 2)
        s = np.maximum(0.0, s + sign * (rng.poisson(rate) - k))
        z = days.memory * z + fresh * rng.standard_normal(len(z))
        going = s < h
        ended += [day] * int(len(s) - going.sum())
        s, z = s[going], z[going]
    lengths = np.array(ended, dtype=float)
    return float(lengths.mean()), float(lengths.std(ddof=1) / sqrt(runs))


def chain_step(days: Days, h: float) -> float:
    """Return a lattice step fine enough for three figures.

    Counts of unlike days smooth the chart's values; plain Poisson counts do
    not, and need a finer lattice.
    """
    steps = 20 if days.spread > 0 else 80
    return min(days.deviation / steps, h)
