"""Understood, ask, or not understood: the one place with the thresholds."""

from voicelog.recognition.evidence import Evidence, shared
from voicelog.recognition.protocol import Recognition

NEAR_FREE = -4.0
FAR_FROM_FREE = -12.0
CLEAR_MARGIN = 1.5


def decide(evidence: Evidence) -> Recognition:
    """Return the decision on one utterance."""
    nothing = Recognition(outcome="not_understood", text=evidence.free_text)
    if not evidence.meanings:
        return nothing
    first = evidence.meanings[0]
    if evidence.gap > NEAR_FREE or evidence.agree:
        if evidence.margin > CLEAR_MARGIN:
            return _take(first.parse, first.text)
        tables = [m.parse.slots for m in evidence.meanings[:2]]
        return Recognition(
            outcome="ask", slots=shared(tables), alternatives=tuple(tables), text=first.text
        )
    free = evidence.free
    if free.outcome == "understood" and free.clear > 0.6:
        return _take(free, evidence.free_text)
    return nothing


def _take(parse, text):  # type: ignore
    return Recognition(
        outcome=parse.outcome,
        slots=parse.slots,
        alternatives=parse.alternatives,
        text=text,
        note=parse.note,
        woken=parse.woken,
        confidence=0.9,
    )
