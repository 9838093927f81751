"""The bench's numbers for a person: one table, one plot."""

from pathlib import Path
from typing import Any

from matplotlib.figure import Figure
from rich.console import Console
from rich.table import Table

from bench.conditions import snr_of

Summary = dict[str, Any]


def _percent(share: float) -> str:
    return f"{share:.1%}"


def table(summary: Summary) -> None:
    """Print one line a condition, group and engine."""
    shown = Table(title=f"split: {summary['split']}, limit: {summary['limit'] or 'none'}")
    heads = (
        "condition", "said", "engine", "n", "right", "asked", "not und.", "wrong", "wrong value",
        "ms", "ms 95 %",
    )  # fmt: skip
    for head in heads:
        shown.add_column(head, justify="left" if head in heads[:3] else "right")
    order = [(r["condition"], r["group"]) for e in summary["engines"] for r in e["rows"]]
    for condition, group in dict.fromkeys(order):
        for engine in summary["engines"]:
            for r in engine["rows"]:
                if (r["condition"], r["group"]) == (condition, group):
                    shown.add_row(
                        condition, group, engine["engine"], str(r["n"]),
                        *(_percent(r[k]) for k in
                          ("right", "asked", "not_understood", "wrong", "wrong_value")),
                        f"{r['ms_median']:.0f}", f"{r['ms_p95']:.0f}",
                    )  # fmt: skip
    console = Console(width=None if Console().is_terminal else 130)
    console.print(shown)
    for engine in summary["engines"]:
        console.print(f"{engine['engine']}: peak memory {engine['peak_mb']} MB")
        for row in engine["overheard"]:
            if row["group"] == "all":
                false = row["false_entries"]
                console.print(
                    f"  overheard while {row['state']}: {false['per_hour']} false entries an hour "
                    f"(95 % upper bound {false['per_hour_upper_95']}) and "
                    f"{row['questions']['per_hour']} questions, in {false['minutes']} minutes"
                )
        for pair in engine["number_confusions"][:12]:
            console.print(
                f"  {pair['slot']}: {pair['said']} stored as {pair['stored']} "
                f"({pair['condition']}, {pair['times']}x)"
            )


def plot(summary: Summary, path: Path) -> None:
    """Right and wrong against the signal-to-noise ratio; clean is the rightmost point."""
    figure = Figure(figsize=(10, 7), layout="constrained")
    axes = figure.subplots(2, 2, sharex=True)
    for column, kind in enumerate(("pump", "babble")):
        for engine in summary["engines"]:
            points = []
            for row in engine["rows"]:
                if row["group"] != "entries":
                    continue
                snr = snr_of(row["condition"])
                if row["condition"] == "clean":
                    points.append((25, row))
                elif snr and snr[0] == kind:
                    points.append((snr[1], row))
            points.sort(key=lambda p: p[0])
            for line, verdict in enumerate(("right", "wrong")):
                low = [100 * (r[verdict] - r[f"{verdict}_95"][0]) for _, r in points]
                high = [100 * (r[f"{verdict}_95"][1] - r[verdict]) for _, r in points]
                axes[line][column].errorbar(
                    [x for x, _ in points], [100 * r[verdict] for _, r in points],
                    yerr=[low, high], marker="o", capsize=3, label=engine["engine"],
                )  # fmt: skip
                axes[line][column].set_ylabel(f"{verdict} entries, %")
                axes[line][column].grid(alpha=0.3)
        axes[0][column].set_title("suction pump" if kind == "pump" else "people talking")
        axes[1][column].set_xlabel("speech over noise, dB (25 = clean)")
        axes[0][column].set_ylim(0, 100)
        axes[1][column].set_ylim(bottom=0)
    axes[0][0].legend()
    figure.savefig(path, dpi=110)
