"""Control limits of the daily count charts, solved once and looked up.

``solve`` finds the limit h for a wished number of days between false alarms,
by the Markov chain of ``frailty``, with the uncertainty of the learned mean
averaged in: a normal learned from two weeks needs a wider limit than one
learned from a year.  A solve takes about a second, so ``python -m
bench.baseline --table`` stores a grid of them in ``limits_table.npz`` and
``limit`` interpolates.
"""

from functools import cache
from math import log

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.ndimage import map_coordinates

from voicelog.baseline.frailty import Days, daily_cusum_arl, reference
from voicelog.baseline.runlength import Floats, Side
from voicelog.data import PACKAGE

# The changes the charts are built for.  A rise of 1.5 is found soonest with a
# reference value a little higher than its own (tried in bench/baseline).
RATIO: dict[Side, float] = {"rise": 1.7, "fall": 0.6}
MEANS = np.geomspace(1.0, 50.0, 11)  # events a day
SPREADS = np.array([0.0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4])
DOUBTS = np.array([0.0, 0.02, 0.04, 0.07, 0.11, 0.15])  # standard deviation of log mean
LENGTHS = np.array([30.0, 60.0, 120.0, 250.0, 500.0, 1000.0, 2500.0, 6000.0])  # days
FILE = PACKAGE / "baseline" / "limits_table.npz"

_HEIGHTS = np.geomspace(0.5, 30.0, 20)  # limits tried, in standard deviations of a day
_LONG = 10.5  # log of days: far beyond the longest run length asked for
_CAP = 40.0
_STATES = 60  # most values of the chart kept in a chain
_ERRORS = np.linspace(-0.5, 0.5, 9)  # log of true over learned mean


def surface(days: Days, side: Side) -> Floats:
    """Return log run lengths, shape ``(errors, heights)``, of charts set up for ``days``.

    Beyond ``_LONG`` they go on in a straight line, as they do in truth (a run
    length grows exponentially with its limit).
    """
    k = reference(days, RATIO[side])
    logs = np.empty((len(_ERRORS), len(_HEIGHTS)))
    for i, error in enumerate(_ERRORS):
        true = Days(days.mean * float(np.exp(error)), days.spread, days.memory)
        for j, height in enumerate(_HEIGHTS):
            if j > 1 and logs[i, j - 1] > _LONG:
                slope = (logs[i, j - 1] - logs[i, j - 2]) / (_HEIGHTS[j - 1] - _HEIGHTS[j - 2])
                logs[i, j] = logs[i, j - 1] + slope * (height - _HEIGHTS[j - 1])
                continue
            h = float(height * days.deviation)
            step = max(days.deviation / 10, h / _STATES)
            logs[i, j] = min(log(daily_cusum_arl(true, k, h, side=side, step=step)), 30.0)
    return logs


def solve(
    days: Days,
    side: Side,
    doubts: Floats,
    lengths: Floats,
    logs: Floats | None = None,
) -> Floats:
    """Return limits in standard deviations of a day, shape ``(doubts, lengths)``.

    Args:
        days: the learned normal.
        side: rise or fall.
        doubts: standard deviations of the log of the learned mean.
        lengths: days between false alarms wished for (their rates are averaged over the doubt).
        logs: a surface computed before.

    """
    logs = surface(days, side) if logs is None else logs
    z, weights = np.polynomial.hermite_e.hermegauss(9)
    weights = weights / weights.sum()
    found = np.empty((len(doubts), len(lengths)))
    # Monotone between the knots: a smoother curve would overshoot where lengths explode.
    across = PchipInterpolator(_ERRORS, np.minimum(logs, _CAP), axis=0)
    for i, doubt in enumerate(doubts):
        rates = weights @ np.exp(-across(np.clip(doubt * z, _ERRORS[0], _ERRORS[-1])))
        reached = _strictly(-np.log(rates))
        # A length out of reach gets the highest limit tried: so little is known
        # then that only an enormous change may signal.
        wished = np.clip(np.log(lengths), reached[0], reached[-1])
        found[i] = np.exp(PchipInterpolator(reached, np.log(_HEIGHTS))(wished))
    return found


def _strictly(rising: Floats) -> Floats:
    return np.asarray(np.maximum.accumulate(rising) + np.arange(len(rising)) * 1e-9)


def build() -> dict[str, Floats]:
    """Return the whole grid for both sides, each ``(means, spreads, doubts, lengths)``."""
    grids: dict[str, Floats] = {}
    for side in ("rise", "fall"):
        cells = [
            [solve(Days(float(m), float(s)), side, DOUBTS, LENGTHS) for s in SPREADS] for m in MEANS
        ]
        grids[side] = np.array(cells)
    return grids


@cache
def _grid(side: Side) -> Floats:
    with np.load(FILE) as stored:
        return np.asarray(stored[side], dtype=float)


def _place(x: float, axis: Floats) -> float:
    """Return where ``x`` lies on a grid axis, in steps; beyond the ends, the end."""
    return float(np.interp(x, axis, np.arange(len(axis))))


def limit(days: Days, side: Side, doubt: float, length: float) -> float:
    """Return the limit h in events; arguments outside the grid are taken at its edge."""
    place = [
        [_place(log(max(days.mean, 1e-9)), np.log(MEANS))],
        [_place(days.spread, SPREADS)],
        [_place(doubt, DOUBTS)],
        [_place(log(length), np.log(LENGTHS))],
    ]
    scaled = map_coordinates(_grid(side), place, order=1, mode="nearest")
    return float(scaled[0]) * days.deviation
