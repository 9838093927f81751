"""Run lengths: published, by Markov chain or integral equation, and by simulation."""

from dataclasses import dataclass

import numpy as np

from voicelog.baseline.frailty import (
    Days,
    chain_step,
    daily_cusum_arl,
    reference,
    simulate_daily_arl,
)
from voicelog.baseline.limits_table import RATIO, limit
from voicelog.baseline.runlength import Side, count_cusum_arl, ewma_arl, normal_cusum_arl


@dataclass(frozen=True)
class Length:
    what: str
    published: str
    computed: float
    simulated: float
    error: float  # standard error of the simulation


def _normal(kind: str, rng: np.random.Generator, shift: float, runs: int) -> tuple[float, float]:
    """Simulated run lengths of normal scores: two-sided CUSUM 0.5/4 or EWMA 0.5/3.071."""
    up, down = np.zeros(runs), np.zeros(runs)
    ended: list[int] = []
    step = 0
    edge = 3.071 * np.sqrt(0.5 / 1.5)
    while len(up):
        step += 1
        z = rng.standard_normal(len(up)) + shift
        if kind == "cusum":
            up, down = np.maximum(0, up + z - 0.5), np.maximum(0, down - z - 0.5)
            going = (up < 4) & (down < 4)
        else:
            up = 0.5 * up + 0.5 * z
            going = np.abs(up) < edge
        ended += [step] * int((~going).sum())
        up, down = up[going], down[going]
    lengths = np.array(ended, float)
    return float(lengths.mean()), float(lengths.std() / np.sqrt(runs))


def _poisson(side: Side, start: float, rng: np.random.Generator, runs: int) -> tuple[float, float]:
    s = np.full(runs, start)
    ended: list[int] = []
    step = 0
    sign = 1 if side == "rise" else -1
    while len(s):
        step += 1
        s = np.maximum(0, s + sign * (rng.poisson(0.25, len(s)) - 0.25))
        ended += [step] * int((s >= 10).sum())
        s = s[s < 10]
    lengths = np.array(ended, float)
    return float(lengths.mean()), float(lengths.std() / np.sqrt(runs))


def published(runs: int = 20_000) -> list[Length]:
    rng = np.random.default_rng(1)
    found = []
    for side, start, printed in (
        ("rise", 0.0, "438"), ("rise", 5.0, "333"), ("fall", 0.0, "437"), ("fall", 5.0, "318"),
    ):  # fmt: skip
        what = f"Lucas 1985 counts, {side}, start {start:g}"
        exact = count_cusum_arl(0.25, 0.25, 10.0, side=side, start=start)
        found.append(Length(what, printed, exact, *_poisson(side, start, rng, runs)))
    for shift, printed in ((0.0, "168"), (0.5, "26.6"), (1.0, "8.38"), (2.0, "3.34")):
        what = f"Lucas & Crosier 1982, shift {shift:g}"
        exact = normal_cusum_arl(0.5, 4.0, shift=shift, sides=2)
        found.append(Length(what, printed, exact, *_normal("cusum", rng, shift, runs)))
    for shift, printed in ((0.0, "500"), (0.5, "88.8"), (1.0, "17.5"), (2.0, "3.63")):
        what = f"Lucas & Saccucci 1990, shift {shift:g}"
        exact = ewma_arl(0.5, 3.071, shift=shift)
        found.append(Length(what, printed, exact, *_normal("ewma", rng, shift, runs)))
    return found


def daily(runs: int = 20_000) -> list[Length]:
    """Days that scatter and run together, at the stored limits for 200 days."""
    rng = np.random.default_rng(2)
    found = []
    for mean, spread, memory in (
        (13.7, 0.0, 0.0), (13.7, 0.1, 0.5), (13.7, 0.2, 0.5), (7.0, 0.1, 0.5), (7.0, 0.2, 0.5),
    ):  # fmt: skip
        days = Days(mean, spread, memory)
        for ratio in (1.0, 1.5, 2.0):
            k, h = reference(days, RATIO["rise"]), limit(days, "rise", 0.0, 200.0)
            true = Days(mean * ratio, spread, memory)
            exact = daily_cusum_arl(true, k, h, step=chain_step(days, h))
            what = f"{mean:g} a day, spread {spread:g}, memory {memory:g}, rate x {ratio:g}"
            simulated = simulate_daily_arl(true, k, h, rng, runs=runs)
            found.append(Length(what, "", exact, *simulated))
    return found
