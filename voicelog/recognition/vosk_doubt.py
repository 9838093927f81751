"""How sure what the two Vosk listeners heard is, and what speaks against it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

from voicelog.entries import Slots
from voicelog.grammar import Parse
from voicelog.recognition.evidence import Evidence

WEIGHTS = (-1.7, 0.19, 1.39, 0.32, 0.68, 0.24)
"""Logistic weights of: one, gap a second, exact, margin, agreement, contrary.

Fitted on 351 Korean utterances of three synthetic voices (20 sentences to refuse
among every 39), left out voice by voice.  The rules in ``clear`` hold back what was
still wrong above ``STORE``.
"""
STORE = 0.93
CLEAR = 4.0
"""A second meaning nearer than this (in log-likelihood) is asked about."""
FITS = 1.0
"""By how much a second, at least, the grammar's words must fit better than other words."""
FAR, NEAR_GAP = 8.0, 6.0
FIGURE = re.compile(r"\d+")


@dataclass(frozen=True, slots=True)
class Doubt:
    """What speaks for and against the first meaning.

    Args:
        gap: how much better the grammar's words fit than free speech, a second.
        exact: the text is in the grammar word for word.
        margin: how far the second meaning lies behind.
        agree: free speech means the same.
        contrary: how far a text that may not be stored ("did not cough") lies behind.
        apart: free speech has figures in it, and they are others.
    """

    gap: float
    exact: bool
    margin: float
    agree: bool
    contrary: float
    apart: bool = False

    @property
    def sure(self) -> float:
        """Probability that the first meaning is right."""
        values = (
            1.0,
            max(-NEAR_GAP, min(NEAR_GAP, self.gap)),
            float(self.exact),
            min(FAR, self.margin),
            float(self.agree),
            max(-3.0, min(6.0, self.contrary)),
        )
        total = sum(weight * value for weight, value in zip(WEIGHTS, values, strict=True))
        return 1.0 / (1.0 + exp(-total))

    @property
    def clear(self) -> bool:
        """Whether the first meaning may be stored without a question."""
        fits = self.agree or (self.gap >= FITS and not self.apart)
        first = self.margin >= CLEAR and self.contrary > 0
        return self.exact and first and fits and self.sure >= STORE


def doubt(evidence: Evidence, refused: Sequence[float], strict: Parse, seconds: float) -> Doubt:
    """Return what speaks for and against the first meaning, of which there must be one.

    Args:
        evidence: what both listeners heard.
        refused: log-likelihoods of the masked texts that may not be stored.
        strict: the first meaning's text, read without skipping anything.
        seconds: length of the sound.

    """
    first = evidence.meanings[0]
    exact = strict.outcome == first.parse.outcome and strict.slots == first.parse.slots
    return Doubt(
        gap=evidence.gap / max(0.5, seconds),
        exact=exact,
        margin=evidence.margin,
        agree=evidence.agree,
        contrary=first.best.worth - max(refused, default=float("-inf")),
        apart=_apart(first.parse.slots, evidence.heard.text),
    )


def _apart(slots: Slots, heard: str) -> bool:
    """Tell whether ``heard`` has figures, and none of them is in a number of ``slots``."""
    numbers = " ".join(str(value) for value in slots.values() if not isinstance(value, str))
    figures = set(FIGURE.findall(heard))
    return bool(numbers and figures) and not figures & set(FIGURE.findall(numbers))
