"""What the two routes found in one utterance, and how far they agree."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, log

from voicelog.entries import Slots
from voicelog.grammar import Parse

OTHER_PENALTY = 2.5
"""Taken off a text's log-probability for each word that no grammar lists."""


@dataclass(frozen=True, slots=True)
class Written:
    """A text that a search finished: log-probability, length in subwords, unlisted words."""

    text: str
    score: float
    tokens: int
    others: int = 0


@dataclass(frozen=True, slots=True)
class Found:
    """The finished texts of both searches, best first."""

    masked: tuple[Written, ...]
    free: tuple[Written, ...]


@dataclass(frozen=True, slots=True)
class Meaning:
    """All texts of the masked search that mean the same.

    Args:
        parse: the meaning.
        text: its likeliest text.
        score: log of the summed probability of its texts.
    """

    parse: Parse
    text: str
    score: float


@dataclass(frozen=True, slots=True)
class Evidence:
    """Both routes' results for one utterance.

    Args:
        meanings: from the masked search, likeliest first.
        free_text: the best text of the free search.
        free_score: its log-probability.
        free: what it means, unknown words skipped.
        free_tokens: its length in subwords.
        loose: the free search's meanings, likeliest first.
    """

    meanings: tuple[Meaning, ...]
    free_text: str
    free_score: float
    free: Parse
    free_tokens: int
    loose: tuple[Meaning, ...] = ()

    @property
    def gap(self) -> float:
        """How much less likely the masked text is than the free one, at most about 0."""
        return self.meanings[0].score - self.free_score if self.meanings else -99.0

    @property
    def margin(self) -> float:
        """How far the second meaning lies behind the first."""
        if len(self.meanings) < 2:
            return 20.0
        return self.meanings[0].score - self.meanings[1].score

    @property
    def agree(self) -> bool:
        """The free text, parsed, means the same as the masked one."""
        return bool(self.meanings) and same(self.free, self.meanings[0].parse)


def weigh(found: Found, parse: Callable[[str], Parse]) -> Evidence:
    """Return what the texts mean and how the routes compare."""
    texts = {one.text: one for one in found.masked}
    masked = [
        (text, one.score - OTHER_PENALTY * one.others, meaning)
        for text, one in texts.items()
        for meaning in [parse(text)]
        if meaning.outcome != "not_understood"
    ]
    masked.sort(key=lambda item: -item[1])
    loose = [(one.text, one.score, parse(one.text)) for one in found.free]
    text, score, meaning = loose[0] if loose else ("", 0.0, parse(""))
    return Evidence(
        meanings=merge(masked),
        free_text=text,
        free_score=score,
        free=meaning,
        free_tokens=found.free[0].tokens if found.free else 0,
        loose=merge(loose),
    )


def same(one: Parse, other: Parse) -> bool:
    """Tell whether two parses store the same."""
    return one.slots == other.slots and one.outcome == other.outcome and one.woken == other.woken


def merge(texts: Sequence[tuple[str, float, Parse]]) -> tuple[Meaning, ...]:
    """Join texts with the same meaning, adding their probabilities.

    Args:
        texts: (text, log-probability, parse), best first.
    """
    groups: list[list[tuple[str, float, Parse]]] = []
    for item in texts:
        home = next((group for group in groups if same(group[0][2], item[2])), None)
        if home is None:
            groups.append([item])
        else:
            home.append(item)
    found = [
        Meaning(group[0][2], group[0][0], _log_sum([score for _, score, _ in group]))
        for group in groups
    ]
    return tuple(sorted(found, key=lambda meaning: -meaning.score))


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
