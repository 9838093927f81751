"""A sentence with its readings, on the way to a judgement."""

from collections.abc import Iterable
from dataclasses import dataclass

from voicelog.grammar.chart import Reading
from voicelog.grammar.network import Match
from voicelog.grammar.phrases import ASIDE
from voicelog.grammar.tokens import Words


@dataclass(frozen=True, slots=True)
class Read:
    """A sentence and its readings, best first, on the way to a judgement.

    Args:
        text: as it was given.
        words: the same, split, likenesses replaced.
        readings: at least one.
        spelt: its words as they were given, numbers in figures.
        guessed: words taken for a known word they resemble.
        strict: no unknown word is accepted.
    """

    text: str
    words: Words
    readings: list[Reading]
    spelt: tuple[str, ...] = ()
    guessed: tuple[str, ...] = ()
    strict: bool = False

    @property
    def top(self) -> Reading:
        """The best reading."""
        return self.readings[0]

    @property
    def skipped(self) -> tuple[str, ...]:
        """The words that belong to no phrase."""
        return tuple(self.words.words[at] for at in self.top.skipped)


def told(reading: Reading) -> tuple[Match, ...]:
    """Return a reading's phrases in order, without asides."""
    return tuple(match for match in reading.matches if match.slot != ASIDE)


def places(matches: Iterable[Match]) -> set[int]:
    """Return the places of all words in these phrases."""
    return {at for match in matches for at in range(match.start, match.end)}
