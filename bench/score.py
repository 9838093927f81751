"""What an answer is worth: right, asked, not understood or wrong, and the sums of these.

Slots must be equal as a whole: an entry with one value missing or one too many
is wrong, and a wrong *value* is counted apart because it is the dangerous kind.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from scipy.stats import chi2

Slots = Mapping[str, int | float | str]
Verdict = Literal["right", "asked", "not_understood", "wrong"]
VERDICTS: tuple[Verdict, ...] = ("right", "asked", "not_understood", "wrong")

# commands that store nothing: doing one by mistake costs a sentence, not a record
HARMLESS = frozenset({"repeat", "summary", "help", "who"})


@dataclass(frozen=True)
class Answer:
    """What an engine made of one sound.

    Args:
        outcome: "understood", "ask" or "not_understood".
        slots: what would be stored.
        alternatives: what it would ask about.
        text: the words it heard.
        ms: how long it took.
    """

    outcome: str
    slots: Slots = field(default_factory=dict)
    alternatives: Sequence[Slots] = ()
    text: str = ""
    ms: float = 0.0


def same(a: Slots, b: Slots) -> bool:
    """Equal slot for slot; 2 equals 2.0, and decimals to a thousandth."""
    if a.keys() != b.keys():
        return False
    return all(_same_value(a[k], b[k]) for k in a)


def _same_value(a: Any, b: Any) -> bool:
    if isinstance(a, str) or isinstance(b, str):
        return bool(a == b)
    return abs(float(a) - float(b)) < 1e-3


def stores(answer: Answer) -> bool:
    """Would anything be written without asking?"""
    if answer.outcome != "understood" or not answer.slots:
        return False
    return not (set(answer.slots) == {"action"} and answer.slots["action"] in HARMLESS)


def judge(expect: str, truths: Sequence[Slots], answer: Answer) -> Verdict:
    """The verdict on one answer; ``truths`` are the acceptable entries."""
    if expect != "entry":
        # refusing and asking are both right here: nothing is stored silently
        return "wrong" if stores(answer) else "right"
    if answer.outcome == "ask":
        return "asked"
    if answer.outcome != "understood" or not answer.slots:
        return "not_understood"
    return "right" if any(same(t, answer.slots) for t in truths) else "wrong"


def wrong_values(truths: Sequence[Slots], answer: Answer) -> dict[str, tuple[Any, Any]]:
    """Slots stored with a value no acceptable entry has: slot -> (true or None, stored)."""
    found = {}
    for slot, stored in answer.slots.items():
        if not any(slot in t and _same_value(t[slot], stored) for t in truths):
            found[slot] = (truths[0].get(slot) if truths else None, stored)
    return found


def interval(hits: int, total: int, z: float = 1.96) -> tuple[float, float]:
    """Wilson 95 % interval of a share (E. B. Wilson, JASA 1927)."""
    if total == 0:
        return 0.0, 1.0
    p, zz = hits / total, z * z / total
    middle, half = p + zz / 2, z * np.sqrt(p * (1 - p) / total + zz / 4 / total)
    return max(0.0, float((middle - half) / (1 + zz))), min(1.0, float((middle + half) / (1 + zz)))


def shares(verdicts: Iterable[str]) -> dict[str, Any]:
    """Count, share of each verdict, and the interval of "right" and "wrong"."""
    counts = Counter(verdicts)
    total = sum(counts.values())
    out: dict[str, Any] = {"n": total}
    out |= {v: round(counts[v] / total, 4) if total else 0.0 for v in VERDICTS}
    for verdict in ("right", "wrong"):
        out[f"{verdict}_95"] = [round(x, 4) for x in interval(counts[verdict], total)]
    return out


def per_hour(events: int, seconds: float) -> dict[str, float]:
    """Events an hour with its exact upper 95 % bound (Poisson; Garwood, Biometrika 1936)."""
    upper = chi2.ppf(0.95, 2 * (events + 1)) / 2
    hours = max(seconds, 1e-9) / 3600
    return {
        "events": events,
        "minutes": round(seconds / 60, 2),
        "per_hour": round(events / hours, 2),
        "per_hour_upper_95": round(float(upper) / hours, 2),
    }
