"""Measure the baselines: run lengths, simulated homes, speed.

python -m bench.baseline            # everything, about five minutes
python -m bench.baseline --only speed
python -m bench.baseline --table    # solve the stored control limits anew
"""

import argparse
from collections.abc import Iterable

import numpy as np

from bench.baseline import home, lengths, scores, speed
from bench.baseline.bound import bound
from voicelog.baseline.frailty import Days
from voicelog.baseline.limits_table import FILE, build

SETTING = 200.0


def table(heading: Iterable[str], rows: Iterable[Iterable[object]]) -> None:
    heading = list(heading)
    print("| " + " | ".join(heading) + " |")
    print("|" + "---|" * len(heading))
    for row in rows:
        print("| " + " | ".join(str(cell) for cell in row) + " |")
    print()


def show_lengths() -> None:
    print("## Run lengths: computed and simulated\n")
    found = [*lengths.published(), *lengths.daily()]
    rows = [
        (x.what, x.published, f"{x.computed:.2f}", f"{x.simulated:.2f} ± {x.error:.2f}",
         f"{(x.simulated - x.computed) / x.error:+.1f}")
        for x in found
    ]  # fmt: skip
    table(("chart", "published", "computed", "simulated ± s.e.", "s.e. apart"), rows)


def _row(name: str, seen: home.Watch) -> tuple[object, ...]:
    cells: list[object] = [name, f"{seen.between:.0f}", seen.false]
    for ratio in home.RATIOS:
        days = np.array(seen.delays[ratio])
        cells += [f"{np.median(days):g}", f"{100 * (days <= 3).mean():.0f} %"]
    return tuple(cells)


def show_homes() -> None:
    print(f"## Simulated homes, ten years each, set to {SETTING:g} days between false alarms\n")
    heading = (
        "rule", "days between", "false alarms", "1.5x: median day", "by day 3",
        "2x: median day", "by day 3",
    )  # fmt: skip
    for mean, spread, memory, homes in (
        (13.7, 0.1, 0.5, 60), (13.7, 0.15, 0.5, 30), (13.7, 0.2, 0.5, 30), (10.0, 0.1, 0.5, 30),
        (7.0, 0.1, 0.5, 30), (5.0, 0.1, 0.5, 30), (13.7, 0.1, 0.7, 30), (13.7, 0.0, 0.0, 30),
    ):  # fmt: skip
        rng = np.random.default_rng(2026)
        days = Days(mean, spread, memory)
        made = [home.make_home(days, rng) for _ in range(homes)]
        seen = home.watch(made, rng, SETTING)
        fixed, sigmas = home.tune_fixed(seen, SETTING), home.tune_sigmas(seen, SETTING)
        print(f"{mean:g} a day, spread {spread:g}, memory {memory:g}, {homes} homes\n")
        rows = [
            _row("voicelog", seen),
            _row(f"more than {fixed} a day", home.threshold(seen, fixed=fixed)),
            _row(f"c-chart, {sigmas:g} sigma (tuned)", home.threshold(seen, sigmas=sigmas)),
            _row("c-chart, 3 sigma", home.threshold(seen, sigmas=3.0)),
        ]
        table(heading, rows)


def show_points() -> None:
    print("## What it costs to be told within three days\n")
    rows = []
    for mean in (13.7, 10.0, 7.0, 5.0):
        for setting in (50.0, 100.0, 200.0, 365.0):
            rng = np.random.default_rng(7)
            made = [home.make_home(Days(mean, 0.1), rng) for _ in range(12)]
            seen = home.watch(made, rng, setting)
            rows.append((f"{mean:g}", f"{setting:g}", *_row("", seen)[1:]))
    heading = (
        "a day", "set to", "days between", "false alarms", "1.5x: median day", "by day 3",
        "2x: median day", "by day 3",
    )  # fmt: skip
    table(heading, rows)


def show_bound() -> None:
    print("## At best: a rise of 1.5 with the normal known exactly\n")
    rows = []
    for mean in (13.7, 10.0, 7.0, 5.0):
        for rule in ("Shiryaev-Roberts", "CUSUM"):
            b = bound(rule, Days(mean, 0.1), SETTING)
            by = f"{100 * b.by_day_3:.0f} %"
            rows.append((f"{mean:g}", rule, f"{b.between:.0f}", f"{b.median:g}", by))
    table(("a day", "rule", "days between", "median day", "by day 3"), rows)


def show_scores() -> None:
    print(f"## Colour and thickness charts, set to {SETTING:g} days\n")
    cases = [scores.run(like, scatter, SETTING, 40) for like, scatter in
             ((0.0, 0.0), (0.3, 0.1), (0.3, 0.2), (0.6, 0.2))]  # fmt: skip
    heading = ("home", "days between", "false alarms", "one step worse: median day")
    table(heading, [(c.what, f"{c.between:.0f}", c.false, f"{c.days_to_notice:g}") for c in cases])


def show_speed() -> None:
    size, timed = speed.measure()
    print(f"## Speed: {size}\n")
    heading = ("what", "median ms", "worst ms", "goal ms")
    rows = [(t.what, f"{t.median_ms:.1f}", f"{t.worst_ms:.1f}", f"{t.goal_ms:g}") for t in timed]
    table(heading, rows)


PARTS = {
    "lengths": show_lengths,
    "homes": show_homes,
    "points": show_points,
    "bound": show_bound,
    "scores": show_scores,
    "speed": show_speed,
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, prog="python -m bench.baseline")
    parser.add_argument("--only", choices=PARTS, help="one part of the measurements")
    parser.add_argument("--table", action="store_true", help="solve the control limits anew")
    chosen = parser.parse_args()
    if chosen.table:
        np.savez_compressed(FILE, **{k: v.astype(np.float32) for k, v in build().items()})
        print(f"Wrote {FILE}.")
        return
    for name, part in PARTS.items():
        if chosen.only in (None, name):
            part()


if __name__ == "__main__":
    main()
