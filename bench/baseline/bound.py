"""How soon a rise could be told at best: the normal known exactly, nothing to learn.

Shiryaev-Roberts is all but optimal for a change after a long quiet time
(Pollak, Annals of Statistics 1985;13:206-227, from memory); the CUSUM beside it
has the reference value of the real chart.  Both are tuned by simulation.
"""

from dataclasses import dataclass

import numpy as np

from voicelog.baseline.frailty import Days, draw_days, reference
from voicelog.baseline.limits_table import RATIO

RUNS, LENGTH, QUIET = 3_000, 600, 25


@dataclass(frozen=True)
class Bound:
    rule: str
    days: Days
    between: float
    median: float
    by_day_3: float


def _step(rule: str, days: Days, s: np.ndarray, x: np.ndarray) -> np.ndarray:
    if rule == "CUSUM":
        return np.maximum(0.0, s + x - reference(days, RATIO["rise"]))
    a, ratio = days.variance / days.mean**2 - 1 / days.mean, RATIO["rise"]
    usual, changed = a * days.mean, a * ratio * days.mean
    gain = np.log(ratio) + np.log1p(usual) - np.log1p(changed)
    return (1 + s) * np.exp(x * gain - (np.log1p(changed) - np.log1p(usual)) / a)


def _between(rule: str, days: Days, limit: float, counts: np.ndarray) -> float:
    s, signals = np.zeros(counts.shape[1]), 0
    for x in counts:
        s = _step(rule, days, s, x)
        hit = s >= limit
        signals += int(hit.sum())
        s[hit] = 0
    return counts.size / max(1, signals)


def bound(rule: str, days: Days, setting: float) -> Bound:
    rng = np.random.default_rng(1)
    calm = rng.poisson(draw_days(days, (LENGTH, RUNS), rng))
    low, high = 1e-2, 1e5
    for _ in range(24):
        middle = float(np.sqrt(low * high))
        if _between(rule, days, middle, calm) < setting:
            low = middle
        else:
            high = middle
    rates = draw_days(days, (QUIET + 40, 4 * RUNS), rng)
    rates[QUIET:] *= 1.5
    s, day = np.zeros(4 * RUNS), np.full(4 * RUNS, 99)
    for i, x in enumerate(rng.poisson(rates)):
        s = _step(rule, days, s, x)
        hit = s >= high
        if i >= QUIET:
            day[hit & (day == 99)] = i - QUIET + 1
        s[hit] = 0
    between = _between(rule, days, high, calm)
    return Bound(rule, days, between, float(np.median(day)), float((day <= 3).mean()))
