"""From answers to the numbers that are shown: rows, slot errors, confusions, false entries."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from typing import Any

import numpy as np

from bench.score import per_hour, shares

Record = dict[str, Any]


def _rows(answers: list[Record]) -> list[Record]:
    """One row a condition and group; "entries" is plain and everyday together."""
    piles: dict[tuple[str, str], list[Record]] = defaultdict(list)
    for a in answers:
        groups = [a["group"]]
        if a["group"] in ("plain", "everyday"):
            groups.append("entries")
            groups.append("entries, neural voices" if a["natural"] else "entries, older voices")
        for group in groups:
            piles[a["condition"], group].append(a)
    return [
        {"condition": condition, "group": group}
        | shares(a["verdict"] for a in pile)
        | {
            "wrong_value": round(np.mean([bool(a["wrong_values"]) for a in pile]), 4),
            "offered": round(np.mean([a["offered"] for a in pile]), 4),
        }
        | _latency(pile)
        for (condition, group), pile in piles.items()
    ]


def _latency(pile: list[Record]) -> Record:
    ms = np.array([a["ms"] for a in pile])
    return {
        "ms_median": round(float(np.median(ms)), 1),
        "ms_p95": round(float(np.quantile(ms, 0.95)), 1),
        "real_time_factor": round(float(ms.sum() / 1000 / sum(a["seconds"] for a in pile)), 3),
    }


def _slots(answers: Iterable[Record]) -> list[Record]:
    """How often each slot was said, and how often another value of it would be stored."""
    said: Counter[tuple[str, str]] = Counter()
    wrong: Counter[tuple[str, str]] = Counter()
    invented: Counter[tuple[str, str]] = Counter()
    for a in answers:
        if a["expect"] == "entry":
            said.update((a["condition"], slot) for slot in a["truth"])
        for slot in a["wrong_values"]:
            (wrong if slot in a["truth"] else invented)[a["condition"], slot] += 1
    return [
        {
            "condition": condition,
            "slot": slot,
            "said": said[condition, slot],
            "wrong": wrong[condition, slot],
            "wrong_rate": round(wrong[condition, slot] / max(said[condition, slot], 1), 4),
            "invented": invented[condition, slot],
        }
        for condition, slot in sorted({*said, *wrong, *invented})
    ]


def _confusions(answers: Iterable[Record]) -> list[Record]:
    """Numbers stored for other numbers, most frequent first."""
    pairs: Counter[tuple[str, float, float, str]] = Counter()
    for a in answers:
        for slot, (truth, stored) in a["wrong_values"].items():
            if isinstance(truth, int | float) and isinstance(stored, int | float):
                pairs[slot, truth, stored, a["condition"]] += 1
    return [
        {"slot": slot, "said": truth, "stored": stored, "condition": condition, "times": n}
        for (slot, truth, stored, condition), n in pairs.most_common()
    ]


def _false_entries(overheard: list[Record]) -> list[Record]:
    """Entries and questions an hour that speech not meant for the log would cause."""
    found = []
    for state in sorted({r["state"] for r in overheard}):
        mine = [r for r in overheard if r["state"] == state]
        for group in (*sorted({r["group"] for r in mine}), "all"):
            rows = [r for r in mine if group in ("all", r["group"])]
            seconds = sum(r.get("seconds", 0.0) for r in rows)
            stored = sum(r.get("stored", False) for r in rows)
            asked = sum(r.get("asked", False) for r in rows)
            found.append(
                {
                    "state": state,
                    "group": group,
                    "false_entries": per_hour(stored, seconds),
                    "questions": per_hour(asked, seconds),
                    "utterances": sum("stored" in r for r in rows),
                }
            )
    return found


def summarise(run: Record) -> Record:
    """All numbers of one engine's run, ready for JSON."""
    answers = run["answers"]
    return {
        "engine": run["engine"],
        "peak_mb": run["peak_mb"],
        "rows": _rows(answers),
        "slots": _slots(answers),
        "number_confusions": _confusions(answers),
        "overheard": _false_entries(run["overheard"]),
    }
