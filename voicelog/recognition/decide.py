"""Understood, ask, or not understood.

One wrong stored value costs as much as fifty questions, so an entry is stored
only when the confidence model is that sure.  A clinical limit never decides.
"""

from voicelog.grammar import Parse
from voicelog.recognition.confidence import confidence, probability
from voicelog.recognition.evidence import Evidence, shared
from voicelog.recognition.protocol import Recognition

CLOSE = 3.0
"""A second meaning this near (in log-probability) is offered in a question."""


def decide(evidence: Evidence) -> Recognition:
    """Return the decision on one utterance."""
    if not evidence.meanings:
        return Recognition(outcome="not_understood", text=evidence.heard.text)
    first, limits = evidence.meanings[0], confidence()
    sure = probability(evidence)
    if first.parse.outcome == "understood" and sure >= limits.store:
        return _of(first.parse, first.best.text, sure)
    if sure < limits.ask:
        return Recognition(outcome="not_understood", text=evidence.heard.text, confidence=sure)
    if first.parse.outcome == "ask":
        return _of(first.parse, first.best.text, sure)
    return _question(evidence, sure)


def _of(parse: Parse, text: str, sure: float) -> Recognition:
    return Recognition(
        outcome=parse.outcome,
        slots=parse.slots,
        alternatives=parse.alternatives,
        text=text,
        note=parse.note,
        woken=parse.woken,
        confidence=sure,
    )


def _question(evidence: Evidence, sure: float) -> Recognition:
    """Offer the first meaning, and the second where it is near."""
    first, rival = evidence.meanings[0], evidence.rival
    near = [first, rival] if rival is not None and evidence.margin <= CLOSE else [first]
    tables = [m.parse.slots for m in near if m.parse.outcome == "understood" and m.parse.slots]
    if not tables:
        return Recognition(outcome="not_understood", text=evidence.heard.text, confidence=sure)
    return Recognition(
        outcome="ask",
        slots=shared(tables) if len(tables) > 1 else {},
        alternatives=tuple(tables),
        text=first.best.text,
        note=first.parse.note,
        woken=first.parse.woken,
        confidence=sure,
    )
