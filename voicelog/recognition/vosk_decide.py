"""Understood, ask, or not understood, from what the two Vosk listeners heard.

Asking is cheap and a wrong value is not, so an entry is stored only where it is
wholly in the grammar, nothing else in the search was near, and free speech does
not fit the sound much better.
"""

from voicelog.recognition.evidence import Evidence, Meaning, shared
from voicelog.recognition.protocol import Recognition
from voicelog.recognition.vosk_doubt import CLEAR, Doubt

ASK = 0.35
"""Less sure than this, it is not even asked about."""
LEVEL = 2.0
"""Two meanings this near are as good as each other."""


def decide(evidence: Evidence, found: Doubt | None) -> Recognition:
    """Return the decision on one utterance; ``found`` is None where it means nothing."""
    if found is None or found.sure < ASK or _noise(evidence):
        return Recognition(
            outcome="not_understood",
            text=evidence.heard.text,
            confidence=found.sure if found else 0.0,
        )
    first = evidence.meanings[0]
    if first.parse.outcome == "ask" or found.clear:
        return _of(first, found.sure)
    near = [m for m in evidence.meanings[:3] if first.worth - m.worth < CLEAR]
    tables = [m.parse.slots for m in near if m.parse.outcome == "understood"]
    return _of(first, found.sure).model_copy(
        update={
            "outcome": "ask",
            "slots": shared(tables) if len(tables) > 1 else {},
            "alternatives": tuple(tables),
        }
    )


def _noise(evidence: Evidence) -> bool:
    """Tell whether it fits anything: noise is a short word, and any other as well.

    A bare value of nothing in particular does not count; a second meaning right
    behind must be about the same thing.
    """
    first = evidence.meanings[0]
    tables = first.parse.alternatives
    if first.parse.outcome == "ask" and not set.intersection(*map(set, tables or ({},))):
        return True
    rival = evidence.rival
    if rival is None or evidence.margin >= LEVEL:
        return False
    return not _slots(first).intersection(_slots(rival))


def _slots(meaning: Meaning) -> set[str]:
    tables = (meaning.parse.slots, *meaning.parse.alternatives)
    return {slot for table in tables for slot in table}


def _of(meaning: Meaning, sure: float) -> Recognition:
    parse = meaning.parse
    return Recognition(
        outcome=parse.outcome,
        slots=parse.slots,
        alternatives=parse.alternatives,
        text=meaning.best.text,
        note=parse.note,
        woken=parse.woken,
        confidence=sure,
    )
