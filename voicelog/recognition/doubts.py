"""What speaks against a masked text, however sure the model is: free speech says otherwise."""

from collections import Counter

from voicelog.grammar.tokens import split
from voicelog.recognition.evidence import Evidence

TURNED = -2.0
"""Free speech with a word such as "not" or "or", likelier than the masked text by more than
this, is believed: the masked text only left that word out."""
MISNUMBERED = -5.0
"""So is free speech with a number that the masked text does not have."""


def turned(evidence: Evidence) -> bool:
    """Tell whether the masked text only leaves out a word that turns the sentence round."""
    if not evidence.free.blocked or evidence.gap >= TURNED:
        return False
    return _words(evidence.meanings[0].best.text) <= _words(evidence.heard.text)


def misnumbered(evidence: Evidence) -> bool:
    """Tell whether free speech clearly has another number: "fifty two" heard as "thirty two"."""
    if evidence.gap >= MISNUMBERED:
        return False
    said, heard = evidence.meanings[0].parse.numbers, evidence.free.numbers
    return not Counter(heard) <= Counter(said)


def _words(text: str) -> Counter[str]:
    return Counter(split(text).words)
