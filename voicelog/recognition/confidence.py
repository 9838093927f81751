"""How sure: the probability that storing the first meaning would be right.

A logistic model over what the searches show.  Its weights, and the data and the
thresholds that were set with them, are in ``confidence.yaml`` beside this file;
``python -m bench.calibrate`` fits them again.
"""

from collections.abc import Mapping
from functools import cache
from math import exp
from pathlib import Path

from voicelog.entries import Frozen
from voicelog.plainyaml import read_yaml
from voicelog.recognition.evidence import Evidence

DEEPEST = -30.0
WIDEST = 8.0


class Confidence(Frozen):
    """``confidence.yaml``.

    Args:
        weights: one for each feature.
        store: at least this sure, an entry is stored.
        ask: at least this sure of one of two meanings, the dialogue asks.
        data: what the weights were fitted on and how well they did, for the reader.
    """

    weights: Mapping[str, float]
    store: float
    ask: float
    data: Mapping[str, str | float | int]


@cache
def confidence() -> Confidence:
    """Return the fitted model."""
    return Confidence.model_validate(read_yaml(Path(__file__).with_suffix(".yaml")))


def features(evidence: Evidence) -> dict[str, float]:
    """Return what the model looks at; there must be a first meaning.

    ``gap`` and ``margin`` are differences of log-probability, cut off where more
    says nothing more.
    """
    first = evidence.meanings[0]
    gap = max(DEEPEST, min(0.0, evidence.gap))
    other_meaning = evidence.free.outcome == "understood" and not evidence.agree
    return {
        "one": 1.0,
        "gap": gap,
        "gap_each": gap / max(1, first.best.tokens),
        "margin": min(WIDEST, evidence.margin),
        "close": float(evidence.margin < 1.5),
        "agree": float(evidence.agree),
        "conflict": float(other_meaning),
        "others": float(first.best.others),
        "skipped": 1.0 - first.parse.clear,
        "mumbled": evidence.heard.score / max(1, evidence.heard.tokens),
        "slots": float(min(4, len(first.parse.slots))),
        "short": float(first.best.tokens <= 3),
    }


def probability(evidence: Evidence) -> float:
    """Return the probability that the first meaning is right, 0 to 1."""
    weights = confidence().weights
    total = sum(weights.get(name, 0.0) * value for name, value in features(evidence).items())
    return 1.0 / (1.0 + exp(-max(-50.0, min(50.0, total))))
