"""Ten years of an invented home, and how soon each rule notices a change.

Ordinary days scatter and run together (``Days``).  Sick spells come on top,
about five a year; six in ten are tagged by voice from their second day on, the
rest never.  A first signal inside a spell, or within a week after it, is right
and not counted; any other is a false alarm.  Changes are planted at forty
random days of each home, never near a spell, and followed in a copy.
"""

from dataclasses import dataclass, field

import numpy as np

from voicelog.baseline.count_chart import CountChart
from voicelog.baseline.frailty import Days, draw_days
from voicelog.baseline.shewhart import c_limits

YEARS = 10
SPELLS_A_YEAR = 5.0
AFTER = 7  # days after a spell in which a signal is not called false
HORIZON = 60  # days followed after a planted change
PLANTS = 40
RATIOS = (1.5, 2.0)
MISSED = 999


@dataclass(frozen=True)
class Home:
    """One home's days: counts, in a spell or just after it, and tagged."""

    days: Days
    counts: np.ndarray
    excused: np.ndarray
    tagged: np.ndarray


@dataclass
class Watch:
    """What happened: for the chart, and what a threshold rule would have seen."""

    days: int = 0  # watched by the chart: known normal, no spell, not already raised
    false: int = 0
    delays: dict[float, list[int]] = field(default_factory=lambda: {r: [] for r in RATIOS})
    calm: list[tuple[np.ndarray, np.ndarray, np.ndarray]] = field(default_factory=list)
    planted: dict[float, list[tuple[float, np.ndarray]]] = field(
        default_factory=lambda: {r: [] for r in RATIOS}
    )

    @property
    def between(self) -> float:
        return self.days / max(1, self.false)


def make_home(days: Days, rng: np.random.Generator, length: int = YEARS * 365) -> Home:
    rates = draw_days(days, (length, 1), rng)[:, 0]
    factors = np.ones(length)
    excused = np.zeros(length, dtype=bool)
    tagged = np.zeros(length, dtype=bool)
    for start in rng.integers(30, length, rng.poisson(SPELLS_A_YEAR * length / 365)):
        lasts = int(min(3 + rng.geometric(0.2), 21))
        factors[start : start + lasts] = rng.uniform(1.4, 2.2)
        excused[start : start + lasts + AFTER] = True
        if rng.random() < 0.6:
            tagged[start + 1 : start + lasts] = True
    return Home(days, rng.poisson(rates * factors), excused, tagged)


def watch(homes: list[Home], rng: np.random.Generator, setting: float) -> Watch:
    """Walk every home with the count chart and plant changes along the way."""
    seen = Watch()
    for home in homes:
        chart = CountChart(false_alarm_days=setting)
        plants = set(rng.choice(len(home.counts) - 120, PLANTS, replace=False) + 60)
        means = np.full(len(home.counts), np.nan)
        for day, count in enumerate(home.counts):
            raised = chart.rise.flagged is not None or chart.fall.flagged is not None
            if not chart.learning:
                means[day] = chart.pool.mean
                seen.days += not raised and not home.excused[day]
            step = chart.step(day, float(count), 1.0, ordinary=not home.tagged[day])
            signal = (step.rise_new or step.fall_new) and not raised
            seen.false += signal and not home.excused[day]
            near = home.excused[max(0, day - 30) : day + 1].any()
            if day in plants and not near and chart.rise.flagged is None:
                _plant(chart, home.days, rng, seen, day)
        seen.calm.append((home.counts, means, home.excused))
    return seen


def _plant(chart: CountChart, days: Days, rng: np.random.Generator, seen: Watch, day: int) -> None:
    for ratio in RATIOS:
        after = rng.poisson(draw_days(days, (HORIZON, 1), rng)[:, 0] * ratio)
        seen.planted[ratio].append((chart.pool.mean, after))
        copy = chart.copy()
        signals = (copy.step(day + 1 + i, float(n), 1.0).rise_new for i, n in enumerate(after))
        seen.delays[ratio].append(next((i + 1 for i, s in enumerate(signals) if s), MISSED))


def threshold(seen: Watch, *, fixed: float | None = None, sigmas: float | None = None) -> Watch:
    """Return what "more than N" or a c-chart with so many sigmas would have done."""

    def line(mean: np.ndarray | float) -> np.ndarray | float:
        if fixed is not None:
            return fixed
        assert sigmas is not None
        return np.array([c_limits(m, sigmas)[1] for m in np.nan_to_num(np.atleast_1d(mean))])

    found = Watch()
    for counts, means, excused in seen.calm:
        hit = counts > line(means)
        first = hit & ~np.concatenate([[False], hit[:-1]])
        known = ~np.isnan(means) & ~excused
        found.days += int((known & ~np.concatenate([[False], hit[:-1]])).sum())
        found.false += int((first & known).sum())
    for ratio, cases in seen.planted.items():
        for mean, after in cases:
            hits = np.flatnonzero(after > line(mean))
            found.delays[ratio].append(int(hits[0]) + 1 if len(hits) else MISSED)
    return found


def tune_fixed(seen: Watch, setting: float) -> int:
    """Return the smallest N whose false alarms are no more often than the setting."""
    n = 1
    while threshold_between(seen, fixed=n) < setting:
        n += 1
    return n


def tune_sigmas(seen: Watch, setting: float) -> float:
    """Return the fewest sigmas (in hundredths) that keep the setting."""
    low, high = 0.5, 8.0
    while high - low > 0.01:
        middle = (low + high) / 2
        if threshold_between(seen, sigmas=middle) < setting:
            low = middle
        else:
            high = middle
    return round(high, 2)


def threshold_between(seen: Watch, **rule: float) -> float:
    calm = Watch(calm=seen.calm)
    return threshold(calm, **rule).between
