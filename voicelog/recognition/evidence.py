"""What the searches found in one utterance, what it means, and how far they agree."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import exp, log

from voicelog.entries import Slots
from voicelog.grammar import Parse

OTHER_PENALTY = 2.5
"""Taken off a text's log-probability for each word that no grammar lists."""

LENGTH_REWARD = 0.4
"""Added for each subword when texts of different length are compared."""


@dataclass(frozen=True, slots=True)
class Written:
    """A text that a search finished: log-probability, length in subwords, unlisted words."""

    text: str
    score: float
    tokens: int
    others: int = 0

    @property
    def worth(self) -> float:
        """Log-probability, less what unlisted words cost."""
        return self.score - OTHER_PENALTY * self.others


@dataclass(frozen=True, slots=True)
class Found:
    """The finished texts of the masked and the free searches.

    ``prominence`` tells how far the speech stood out of the noise, in decibels.
    """

    masked: tuple[Written, ...]
    free: tuple[Written, ...]
    prominence: float = 40.0


@dataclass(frozen=True, slots=True)
class Meaning:
    """All texts of the masked searches that mean the same.

    Args:
        parse: the meaning.
        best: its likeliest text.
        worth: log of the summed probability of its texts.
    """

    parse: Parse
    best: Written
    worth: float


@dataclass(frozen=True, slots=True)
class Evidence:
    """The searches' results for one utterance.

    Args:
        meanings: from the masked searches, likeliest first; only what could be stored or asked.
        heard: the likeliest free text.
        free: what the free text means.
        prominence: how far the speech stood out of the noise, in decibels.
    """

    meanings: tuple[Meaning, ...]
    heard: Written
    free: Parse
    prominence: float = 40.0

    @property
    def gap(self) -> float:
        """How much less likely the first meaning's best text is than the free one."""
        return self.meanings[0].best.score - self.heard.score

    @property
    def margin(self) -> float:
        """How far the second meaning lies behind the first."""
        rival = self.rival
        return 99.0 if rival is None else self.meanings[0].worth - rival.worth

    @property
    def rival(self) -> Meaning | None:
        """The second meaning; one that says nothing is no rival."""
        return next((m for m in self.meanings[1:] if m.parse.slots), None)

    @property
    def agree(self) -> bool:
        """The free text means the same as the masked one."""
        return bool(self.meanings) and same(self.free, self.meanings[0].parse)


def weigh(found: Found, parse: Callable[[str], Parse]) -> Evidence:
    """Return what the texts mean and how the searches compare.

    A question mark is only a guess of a search that is bound to a grammar.  What free speech
    says in known words alone counts as found under the grammar: the parser knows more ways of
    putting words together than a mask can list, and no grammar can list the words of a note.
    """
    texts = {one.text: one for one in found.masked}
    heard = max(found.free, key=lambda one: one.score, default=Written("", 0.0, 1))
    if not heard.tokens:  # free speech that ends before a word hides the likeliest one: "out"
        heard = max((heard, *found.masked), key=lambda one: one.worth + LENGTH_REWARD * one.tokens)
    free = parse(heard.text)
    pairs = [_listed(one, parse(text.replace("?", "."))) for text, one in texts.items()]
    if heard.text not in texts and (free.note or _clear(free)):
        pairs.append((heard, free))
    return Evidence(merge(pairs), heard, free, found.prominence)


def _clear(parse: Parse) -> bool:
    return parse.outcome == "understood" and not parse.skipped and not parse.guessed


def _listed(text: Written, parse: Parse) -> tuple[Written, Parse]:
    """Return both, with no word called unlisted that the parser knows by another spelling."""
    strange = len(parse.skipped) + len(parse.guessed)
    return replace(text, others=min(text.others, strange)), parse


def merge(texts: Sequence[tuple[Written, Parse]]) -> tuple[Meaning, ...]:
    """Join texts with the same meaning, adding their probabilities; drop those without one."""
    groups: list[list[tuple[Written, Parse]]] = []
    for item in sorted(texts, key=lambda pair: -pair[0].worth):
        if item[1].outcome == "not_understood":
            continue
        home = next((group for group in groups if same(group[0][1], item[1])), None)
        if home is None:
            groups.append([item])
        else:
            home.append(item)
    found = [
        Meaning(group[0][1], group[0][0], _log_sum([one.worth for one, _ in group]))
        for group in groups
    ]
    return tuple(sorted(found, key=lambda meaning: -meaning.worth))


def same(one: Parse, other: Parse) -> bool:
    """Tell whether two parses store the same."""
    return one.slots == other.slots and one.outcome == other.outcome and one.woken == other.woken


def _log_sum(scores: Sequence[float]) -> float:
    top = max(scores)
    return top + log(sum(exp(score - top) for score in scores))


def shared(tables: Sequence[Slots]) -> Slots:
    """Return what all tables agree on."""
    if not tables:
        return {}
    return {
        slot: value
        for slot, value in tables[0].items()
        if all(table.get(slot) == value for table in tables[1:])
    }
