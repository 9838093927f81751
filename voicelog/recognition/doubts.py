"""What speaks against a masked text, however sure the model is: free speech says otherwise."""

from collections import Counter
from collections.abc import Sequence

from voicelog.grammar.tokens import split
from voicelog.recognition.evidence import Evidence

TURNED = -2.0
"""Free speech with a word such as "not" or "or", likelier than the masked text by more than
this, is believed: the masked text only left that word out."""
MISNUMBERED = -2.0
"""So is free speech with a number that the masked text does not have."""

CONTRADICTED = -1.0
"""So is free speech that means another entry with strange words in it; in known words alone
it counts as found under the grammar (``evidence.weigh``)."""

STRETCHED = -3.0
"""So is a sentence that is not for the log; the masked text may have two words of its own."""


def turned(evidence: Evidence) -> bool:
    """Tell whether the masked text only leaves out a word that turns the sentence round.

    It may have put in one word of two letters: "it is his ..." for the question "is his ...".
    """
    if not evidence.free.blocked or evidence.gap >= TURNED:
        return False
    added = _added(evidence)
    return added.total() <= 1 and all(len(word) <= 2 for word in added)


def stretched(evidence: Evidence) -> bool:
    """Tell whether the masked text is nearly a sentence that the log must let pass.

    "It was two secs" is what a mask makes of "give us two secs".
    """
    strange = evidence.free.blocked and evidence.gap < STRETCHED
    return strange and _added(evidence).total() <= 2


def misnumbered(evidence: Evidence) -> bool:
    """Tell whether free speech clearly has another number: "fifty two" heard as "thirty two".

    "One 26" is written otherwise than "126", but said alike.
    """
    if evidence.gap >= MISNUMBERED:
        return False
    said, heard = evidence.meanings[0].parse.numbers, evidence.free.numbers
    return not Counter(heard) <= Counter(said) and _figures(heard) != _figures(said)


def contradicted(evidence: Evidence) -> bool:
    """Tell whether free speech, likelier than the masked text, means another entry."""
    free = evidence.free
    another = free.outcome == "understood" and bool(free.slots) and not evidence.agree
    return another and evidence.gap < CONTRADICTED


def _figures(numbers: Sequence[str]) -> str:
    return "".join(numbers).replace(".", "")


def _added(evidence: Evidence) -> Counter[str]:
    """Return the words that the masked text has and free speech has not."""
    return _words(evidence.meanings[0].best.text) - _words(evidence.heard.text)


def _words(text: str) -> Counter[str]:
    return Counter(split(text).words)
