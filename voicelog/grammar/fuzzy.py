"""Words that are nearly known: matched against the closed vocabulary, never numbers."""

from collections.abc import Iterable
from functools import lru_cache

from rapidfuzz import fuzz, process

LEAST_LETTERS = 5
LEAST_RATIO = 82.0
"""Below this the likeness says nothing ("sats"/"sets" is 75, both are words)."""
LEAST_MARGIN = 8.0
"""How far the runner-up must lie behind."""


class FuzzyWords:
    """Finds the one known word that an unknown word must have been.

    Args:
        vocabulary: the words the grammar knows.
        forbidden: number words; they neither match nor are matched.
        never_merge: groups of words that must not be taken for one another,
            whether or not they are in the vocabulary.
    """

    def __init__(
        self,
        vocabulary: Iterable[str],
        forbidden: Iterable[str],
        never_merge: Iterable[Iterable[str]],
    ) -> None:
        self.forbidden = frozenset(forbidden)
        self.apart: dict[str, set[str]] = {}
        for group in map(frozenset, never_merge):
            for word in group:
                self.apart.setdefault(word, set()).update(group - {word})
        self.vocabulary = sorted(
            word
            for word in set(vocabulary) - self.forbidden
            if len(word) >= LEAST_LETTERS and word.isalpha()
        )
        self.nearest = lru_cache(maxsize=4096)(self._nearest)

    def _nearest(self, word: str) -> str | None:
        if len(word) < LEAST_LETTERS or not word.isalpha() or word in self.forbidden:
            return None
        if any(fuzz.ratio(word, number) >= LEAST_RATIO for number in self.forbidden):
            return None
        found = process.extract(
            word,
            self.vocabulary,
            scorer=fuzz.ratio,
            score_cutoff=LEAST_RATIO - LEAST_MARGIN,
            limit=4,
        )
        if not found or found[0][1] < LEAST_RATIO:
            return None
        best = found[0][0]
        rivals = [other for other, score, _ in found[1:] if found[0][1] - score < LEAST_MARGIN]
        if any(not _same_stem(best, rival) for rival in rivals):
            return None
        return None if best[0] != word[0] or best in self.apart.get(word, ()) else str(best)


def _same_stem(one: str, other: str) -> bool:
    short, long = sorted((one, other), key=len)
    return long.startswith(short[: max(4, len(short) - 2)]) and len(long) - len(short) <= 3
