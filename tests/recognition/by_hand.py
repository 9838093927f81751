"""Evidence written down by hand: what the searches might have found, and what it means."""

from voicelog.entries import Slots
from voicelog.grammar import Outcome, Parse
from voicelog.grammar.tokens import split
from voicelog.recognition.evidence import Evidence, Meaning, Written


def means(
    text: str,
    slots: Slots | None = None,
    *,
    outcome: Outcome | None = None,
    alternatives: tuple[Slots, ...] = (),
    numbers: tuple[str, ...] = (),
    blocked: bool = False,
    note: str = "",
    woken: bool = False,
    clear: float = 1.0,
) -> Parse:
    """Return a parse; without slots it is of nothing understood unless told otherwise."""
    return Parse(
        outcome=outcome or ("understood" if slots else "not_understood"),
        slots=slots or {},
        alternatives=alternatives,
        text=text,
        spelt=split(text).words,
        note=note,
        numbers=numbers,
        blocked=blocked,
        woken=woken,
        clear=clear,
    )


def meaning(parse: Parse, score: float = -1.0, tokens: int = 5, others: int = 0) -> Meaning:
    """Return a meaning that one text has."""
    best = Written(parse.text, score, tokens, others)
    return Meaning(parse, best, best.worth)


def evidence(
    *meanings: Meaning,
    free: Parse | None = None,
    score: float = -1.0,
    tokens: int = 5,
    prominence: float = 40.0,
) -> Evidence:
    """Return evidence; free speech agrees with the first meaning unless told otherwise."""
    said = free or (meanings[0].parse if meanings else means("mumble"))
    return Evidence(meanings, Written(said.text, score, tokens), said, prominence)
