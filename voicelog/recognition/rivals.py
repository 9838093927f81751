"""How the second meaning of an utterance differs from the first."""

from voicelog.entries import SlotValue
from voicelog.recognition.evidence import Evidence


def number_apart(evidence: Evidence) -> bool:
    """Tell whether the second meaning differs in numbers alone: "thirteen", "thirty"."""
    apart = _apart(evidence)
    return bool(apart) and not any(isinstance(value, str) for pair in apart for value in pair)


def _apart(evidence: Evidence) -> list[tuple[SlotValue, SlotValue]]:
    """Return the values in which the second meaning, of the same slots, differs."""
    if evidence.rival is None:
        return []
    first, second = evidence.meanings[0].parse.slots, evidence.rival.parse.slots
    if first.keys() != second.keys():
        return []
    return [(first[slot], second[slot]) for slot in first if first[slot] != second[slot]]
