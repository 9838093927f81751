"""How long a control chart runs before it signals, computed rather than guessed.

A run length is counted in observations (here mostly days), from the chart's
starting value to the signal, the signalling observation included.  Counts use
a finite Markov chain, exact whenever reference value and limit lie on the
lattice ``step``; normal scores use the Fredholm equation of the run length on
Gauss-Legendre nodes.

Sources: Brook & Evans, Biometrika 1972;59:539-549 (chain); Lucas,
Technometrics 1985;27:129-144 (counts, signal at S >= h); Crowder,
Technometrics 1987;29:401-407 (EWMA integral equation).
"""

from math import ceil, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, ndtr

Floats = NDArray[np.float64]
Side = Literal["rise", "fall"]

_TAIL = 9.0  # standard deviations of the count kept beyond the mean
_ROOT_2PI = sqrt(2 * np.pi)


def poisson_pmf(mean: float, size: int | None = None) -> Floats:
    """Return P(X = 0), P(X = 1), ... of a Poisson count, shape ``(size,)``."""
    n = ceil(mean + _TAIL * sqrt(mean) + 12) if size is None else size
    x = np.arange(n, dtype=float)
    log_mean = np.log(mean) if mean > 0 else -np.inf
    with np.errstate(invalid="ignore"):
        logs = np.where(x == 0, -mean, x * log_mean - mean - gammaln(x + 1))
    return np.asarray(np.exp(logs))


def cusum_chain(pmf: Floats, k: float, h: float, side: Side, step: float) -> Floats:
    """Return the chain among the values below ``h``, shape ``(n, n)``; rows sum below one.

    The values are ``0, w, 2w, ...`` with ``w`` at most ``step`` and ``h`` a
    whole number of ``w``.  A value between two of them is shared so that its
    mean is kept; on the lattice nothing is shared and the chain is exact.
    """
    n = max(1, ceil(h / step - 1e-9))
    width = h / n
    x = np.arange(len(pmf), dtype=float)
    move = x - k if side == "rise" else k - x
    after = np.maximum(np.arange(n)[:, None] + move[None, :] / width, 0.0)
    after = np.where(np.abs(after - np.round(after)) < 1e-9, np.round(after), after)
    low = np.minimum(np.floor(after).astype(int), n)
    # Just below the limit the run goes on: such a value counts as the last one kept.
    share = np.where(low < n - 1, after - low, 0.0)
    chain = np.zeros((n, n + 1))
    rows = np.broadcast_to(np.arange(n)[:, None], low.shape)
    np.add.at(chain, (rows, low), pmf * (1 - share))
    np.add.at(chain, (rows, np.minimum(low + 1, n)), pmf * share)
    return chain[:, :n]


def count_cusum_arl(
    mean: float, k: float, h: float, *, side: Side = "rise", start: float = 0.0, step: float = 0.25
) -> float:
    """Return the average run length of a Poisson CUSUM that signals at S >= h.

    Args:
        mean: Poisson mean of one observation.
        k: reference value; the statistic moves by ``x - k`` (rise) or ``k - x`` (fall).
        h: limit, in counts.
        side: which change the chart looks for.
        start: first value of the statistic (``h / 2`` is the usual head start).
        step: lattice; exact when ``k``, ``h`` and ``start`` are multiples of it.

    """
    chain = cusum_chain(poisson_pmf(mean), k, h, side, step)
    n = len(chain)
    lengths = np.linalg.solve(np.eye(n) - chain, np.ones(n))
    return float(np.interp(start, np.arange(n) * h / n, lengths))


def _nodes(low: float, high: float, n: int) -> tuple[Floats, Floats]:
    x, w = np.polynomial.legendre.leggauss(n)
    return low + (high - low) * (x + 1) / 2, w * (high - low) / 2


def _density(x: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * x * x) / _ROOT_2PI)


def _reflected(spread: float, keep: float, move: float, h: float, nodes: int) -> float:
    """Run length from 0 of S' = max(0, keep * S + spread * z + move), z standard normal."""
    y, w = _nodes(0.0, h, nodes)
    origin = np.concatenate(([0.0], y))
    kernel = _density((y[None, :] - keep * origin[:, None] - move) / spread) / spread * w
    to_zero = ndtr((-keep * origin - move) / spread)
    system = np.eye(nodes + 1) - np.column_stack([to_zero, kernel])
    length = float(np.linalg.solve(system, np.ones(nodes + 1))[0])
    # Beyond about 1e15 the equation is singular to working precision.
    return length if length > 0 else float("inf")


def normal_cusum_arl(
    k: float, h: float, *, shift: float = 0.0, sides: int = 1, nodes: int = 80
) -> float:
    """Return the average run length of a CUSUM of standard normal scores, from zero.

    Two sides are combined as ``1/ARL = 1/up + 1/down`` (Lucas & Crosier,
    Technometrics 1982;24:199-205), exact for charts that start at zero.
    """
    up = _reflected(1.0, 1.0, shift - k, h, nodes)
    if sides == 1:
        return up
    down = _reflected(1.0, 1.0, -shift - k, h, nodes)
    return 1.0 / (1.0 / up + 1.0 / down)


def ewma_arl(
    weight: float, limit: float, *, shift: float = 0.0, sides: int = 2, nodes: int = 120
) -> float:
    """Return the average run length of an EWMA of standard normal scores, from zero.

    Args:
        weight: lambda, the share of the newest score.
        limit: L, in asymptotic standard deviations of the statistic.
        shift: mean of the scores, in standard deviations.
        sides: 2 for the usual chart; 1 for one that never goes below zero.
        nodes: Gauss-Legendre nodes.

    """
    edge = limit * sqrt(weight / (2 - weight))
    if sides == 1:
        return _reflected(weight, 1 - weight, weight * shift, edge, nodes)
    y, w = _nodes(-edge, edge, nodes)
    origin = np.concatenate(([0.0], y))
    kernel = _density((y[None, :] - (1 - weight) * origin[:, None]) / weight - shift) / weight * w
    inner = np.linalg.solve(np.eye(nodes) - kernel[1:], np.ones(nodes))
    return float(1.0 + kernel[0] @ inner)
