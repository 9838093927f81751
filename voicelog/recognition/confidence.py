"""How sure: the probability that storing the first meaning would be right.

A logistic model over what the searches show.  Its weights, and the data and the
thresholds that were set with them, are in ``confidence.yaml`` beside this file;
``python -m bench.calibrate`` fits them again.
"""

from collections.abc import Mapping
from functools import cache
from math import exp
from pathlib import Path

from rapidfuzz import fuzz

from voicelog.entries import Frozen
from voicelog.grammar import Parse
from voicelog.plainyaml import read_yaml
from voicelog.recognition.evidence import Evidence
from voicelog.recognition.rivals import number_apart

STEPS = (3.0, 7.0, 15.0, 35.0)
"""Where the weight of a gap in log-probability may change."""


class Confidence(Frozen):
    """``confidence.yaml``.

    Args:
        weights: one for each feature.
        store: at least this sure, an entry is stored.
        store_in_noise: the same in loud noise.
        ask: at least this sure of one of two meanings, the dialogue asks.
        data: what the weights were fitted on and how well they did, for the reader.
    """

    weights: Mapping[str, float]
    store: float
    store_in_noise: float
    ask: float
    data: Mapping[str, str | float | int]


@cache
def confidence() -> Confidence:
    """Return the fitted model."""
    return Confidence.model_validate(read_yaml(Path(__file__).with_suffix(".yaml")))


LOUD_AND_CLEAR = 30.0
"""Decibels; a quiet bedroom reaches it."""
LOUD_NOISE = 0.6
"""From here on noise is loud: a pump at 5 dB."""


def features(evidence: Evidence) -> dict[str, float]:
    """Return what the model looks at; there must be a first meaning.

    ``gap`` tells how much less likely the first meaning's text is than free
    speech, piece by piece; ``margin`` how far the second meaning lies behind;
    ``alike`` how much the two texts share, letter by letter: free speech that is
    nearly the masked text was the same sounds, spelt otherwise.
    """
    first = evidence.meanings[0]
    margin = min(10.0, evidence.margin)
    heard, text = evidence.heard, first.best
    mumbled = heard.score / max(1, heard.tokens)
    alike = _alike(first.parse, evidence.free)
    return {
        "one": 1.0,
        **_pieces(max(0.0, -evidence.gap)),
        "margin": min(2.0, margin),
        "margin_far": max(0.0, margin - 2.0),
        "number": float(number_apart(evidence)),
        "agree": float(evidence.agree),
        "conflict": float(evidence.free.outcome == "understood" and not evidence.agree),
        "others": float(text.others),
        "exact": float(text.others == 0),
        "skipped": 1.0 - first.parse.clear,
        "mumbled": max(-2.0, mumbled),
        "slots": float(min(4, len(first.parse.slots))),
        "short": float(text.tokens <= 3),
        "shorter": float(max(-8, min(20, heard.tokens - text.tokens))),
        "nothing": float(heard.tokens == 0),
        "noise": noise(evidence),
        "noise_number": noise(evidence)
        * any(not isinstance(v, str) for v in first.parse.slots.values()),
        "alike": alike,
        "alike_far": alike * min(1.0, max(0.0, -evidence.gap) / STEPS[1]),
    }


def enough(evidence: Evidence) -> float:
    """Return how sure one must be to store this."""
    limits = confidence()
    return limits.store_in_noise if noise(evidence) >= LOUD_NOISE else limits.store


def noise(evidence: Evidence) -> float:
    """Return how noisy it was: 0 in a quiet bedroom, 1 where speech does not stand out."""
    return max(0.0, LOUD_AND_CLEAR - evidence.prominence) / LOUD_AND_CLEAR


def _alike(one: Parse, other: Parse) -> float:
    """Return how alike two texts are, 0 to 1, numbers in figures and without blanks and marks.

    "Filter chain." is nearly "filterchange".
    """
    return fuzz.ratio("".join(one.spelt), "".join(other.spelt)) / 100


def _pieces(gap: float) -> dict[str, float]:
    edges = (0.0, *STEPS)
    return {
        f"gap_{low:g}": -min(high - low, max(0.0, gap - low))
        for low, high in zip(edges, STEPS, strict=False)
    }


def probability(evidence: Evidence) -> float:
    """Return the probability that the first meaning is right, 0 to 1."""
    weights = confidence().weights
    total = sum(weights.get(name, 0.0) * value for name, value in features(evidence).items())
    return 1.0 / (1.0 + exp(-max(-50.0, min(50.0, total))))
