"""False alarms of the colour and thickness charts in simulated homes."""

from dataclasses import dataclass

import numpy as np

from voicelog.baseline.score_chart import ScoreChart


@dataclass(frozen=True)
class ScoreCase:
    what: str
    between: float
    false: int
    days_to_notice: float  # median, one step of the scale worse


def _day(rng: np.random.Generator, bad: float, shift: float) -> float:
    n = max(2, rng.poisson(9))
    return float(rng.choice([0, 1, 2], p=[0.55, 0.4, 0.05], size=n).mean() + bad + shift)


def run(likeness: float, scatter: float, setting: float, homes: int, years: int = 3) -> ScoreCase:
    rng = np.random.default_rng(5)
    watched = false = 0
    delays = []
    for _ in range(homes):
        chart, bad = ScoreChart(false_alarm_days=setting), 0.0
        for day in range(365 * years):
            bad = likeness * bad + np.sqrt(1 - likeness**2) * scatter * rng.standard_normal()
            raised, learning = chart.flagged is not None, chart.learning
            new = chart.step(day, _day(rng, bad, 0.0))
            watched += not raised and not learning
            false += new
            if day % 180 == 179 and chart.flagged is None:
                probe, day_bad = chart.copy(), bad
                for i in range(1, 60):
                    day_bad = (
                        likeness * day_bad
                        + np.sqrt(1 - likeness**2) * scatter * rng.standard_normal()
                    )
                    if probe.step(day + i, _day(rng, day_bad, 1.0)):
                        delays.append(i)
                        break
    what = f"day scatter {scatter:g}, likeness {likeness:g}"
    return ScoreCase(what, watched / max(1, false), false, float(np.median(delays)))
