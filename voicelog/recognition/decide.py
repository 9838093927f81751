"""Understood, ask, or not understood.

A wrong stored value is the worst that can happen and a question is cheap, so an entry is
stored only when the confidence model is sure and nothing speaks against it.  A
clinical limit never decides.
"""

from voicelog.grammar import Parse
from voicelog.recognition.confidence import confidence, enough, noise, probability
from voicelog.recognition.doubts import contradicted, misnumbered, stretched, turned
from voicelog.recognition.evidence import Evidence, shared
from voicelog.recognition.protocol import Recognition
from voicelog.recognition.rivals import number_apart

CLOSE = 4.0
"""A second meaning this near (in log-probability) is offered in a question."""
CLOSE_NUMBERS = 2.0
"""Two numbers this near ("thirteen", "thirty") are always asked about."""
CLOSE_IN_NOISE = 3.0
"""Added for numbers where speech hardly stands out of the noise: there "heart rate one
thirteen" was likelier as "one thirty" by 3.8."""
TIED = 1.0
"""Two meanings this near are asked about whatever they are."""


def decide(evidence: Evidence) -> Recognition:
    """Return the decision on one utterance."""
    if not evidence.meanings or turned(evidence):
        return Recognition(outcome="not_understood", text=evidence.heard.text)
    first, limits = evidence.meanings[0], confidence()
    sure = probability(evidence)
    if sure < limits.ask:
        return Recognition(outcome="not_understood", text=evidence.heard.text, confidence=sure)
    if first.parse.outcome == "ask":
        return _of(first.parse, first.best.text, sure)
    if _heard_as_choice(evidence):
        return _of(evidence.free, evidence.heard.text, sure)
    if sure >= enough(evidence) and not doubted(evidence):
        return _of(first.parse, first.best.text, sure)
    return _question(evidence, sure)


def doubted(evidence: Evidence) -> bool:
    """Tell whether something speaks against the first meaning, however sure the model is."""
    near = tied(evidence) or close_numbers(evidence) or cut_short(evidence)
    return near or misnumbered(evidence) or contradicted(evidence) or stretched(evidence)


def tied(evidence: Evidence) -> bool:
    """Tell whether a second meaning is as likely as the first."""
    return evidence.margin < TIED


def close_numbers(evidence: Evidence) -> bool:
    """Tell whether the second meaning is another number, too near for this noise."""
    least = CLOSE_NUMBERS + CLOSE_IN_NOISE * noise(evidence)
    return number_apart(evidence) and evidence.margin < least


def cut_short(evidence: Evidence) -> bool:
    """Tell whether a near meaning says all this and more: "sats 100", "sats 100, calm".

    The acoustic model now and then leaves out the last word.
    """
    first, *others = evidence.meanings
    said = first.parse.slots.items()
    return any(
        other.parse.outcome == "understood"
        and said < other.parse.slots.items()
        and first.worth - other.worth <= CLOSE
        for other in others
    )


def _heard_as_choice(evidence: Evidence) -> bool:
    """Tell whether free speech names several values, the first meaning's among them."""
    free = evidence.free
    return free.outcome == "ask" and evidence.meanings[0].parse.slots in free.alternatives


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
    """Offer the first meaning, what free speech means instead, and a second one that is near."""
    first, rival = evidence.meanings[0], evidence.rival
    near = [first.parse]
    if contradicted(evidence):
        near.append(evidence.free)
    elif rival is not None and (evidence.margin <= CLOSE or close_numbers(evidence)):
        near.append(rival.parse)
    tables = [parse.slots for parse in near if parse.outcome == "understood" and parse.slots]
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
