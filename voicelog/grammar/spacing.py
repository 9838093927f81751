"""Words found anew where a language leaves blanks out or puts them elsewhere.

Korean may be written "두 번" or "두번", and a recogniser may part "많 아요".  Blanks
are only hints, so the sentence is cut again into known words.  A piece of writing
is cut only if all of it is known, and not into single syllables alone: a
stranger's word is never picked apart for the numbers inside it.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from voicelog.grammar.tokens import Words

SYLLABLES = re.compile(r"[가-힣]+")
WORD, SPLIT, JOIN, UNKNOWN = 1.0, 0.3, 1.2, 50.0
"""Costs: of a word, of a blank put in, of one taken out (dearer than a word), of a strange word."""

Cut = tuple[float, tuple[int, ...]]
"""Cost so far, and where its words end."""


@dataclass(frozen=True, slots=True)
class Spacing:
    """The known words of a language with free spacing.

    Args:
        known: every word that may be cut out.
        counting: number words.
        scales: number words that others count ("십", "백").
        counters: words that follow a number ("번", "방울").
        particles: words that follow a noun without a blank ("은", "가").
        raw_after: words before free text, which stays as it is written.
    """

    known: frozenset[str]
    counting: frozenset[str]
    scales: frozenset[str]
    counters: frozenset[str]
    particles: frozenset[str]
    raw_after: frozenset[str] = frozenset()

    def cut(self, words: Words) -> Words:
        """Return the sentence with its blanks where the grammar has them."""
        found: list[str] = []
        breaks: set[int] = set()
        for start, end in self._runs(words):
            if start in words.breaks:
                breaks.add(len(found))
            run = words.words[start:end]
            raw = words.words[start - 1] in self.raw_after if start else False
            found.extend(run if raw or not SYLLABLES.fullmatch(run[0]) else self._known_words(run))
        return Words(tuple(found), frozenset(breaks))

    def _runs(self, words: Words) -> list[tuple[int, int]]:
        """Return stretches that are cut as one: no comma, no figure in them; then free text."""
        last = next((n for n, word in enumerate(words.words, 1) if word in self.raw_after), None)
        edges = {0, len(words.words) if last is None else last, *words.breaks}
        for at, word in enumerate(words.words):
            if not SYLLABLES.fullmatch(word):
                edges |= {at, at + 1}
        if last is not None:
            edges = {edge for edge in edges if edge <= last} | {len(words.words)}
        return list(pairwise(sorted(edges)))

    def _known_words(self, run: Sequence[str]) -> list[str]:
        whole: set[int] = set()
        while True:
            found = self._best(run, whole)
            torn = self._torn(run, found) - whole
            if not torn:
                return found
            whole |= torn

    def _best(self, run: Sequence[str], whole: set[int]) -> list[str]:
        """Return the cheapest cut; the pieces of writing in ``whole`` stay together."""
        text = "".join(run)
        ends = list(accumulate(map(len, run)))
        starts = [0, *ends[:-1]]
        inside = {at for n in whole for at in range(starts[n] + 1, ends[n])}
        table: dict[int, Cut] = {0: (0.0, ())}
        for at in range(len(text)):
            if at not in table:
                continue
            cost, cuts = table[at]
            for end in range(at + 1, len(text) + 1):
                if text[at:end] in self.known and not {at, end} & inside:
                    joined = sum(at < edge < end for edge in ends)
                    step = WORD + JOIN * joined + SPLIT * (at not in starts)
                    _keep(table, end, (cost + step, (*cuts, end)))
            if at in starts:
                end = ends[starts.index(at)]
                _keep(table, end, (cost + UNKNOWN, (*cuts, end)))
        return [text[a:b] for a, b in pairwise((0, *table[len(text)][1]))]

    def _torn(self, run: Sequence[str], found: Sequence[str]) -> set[int]:
        """Return the places of writing that was cut into single syllables, and should not be."""
        ends = list(accumulate(map(len, found)))
        torn, start = set(), 0
        for n, word in enumerate(run):
            end = start + len(word)
            pieces = [p for p, last in zip(found, ends, strict=True) if start < last <= end]
            single = all(len(piece) == 1 for piece in pieces) and "".join(pieces) == word
            if len(pieces) > 1 and single and not self._belongs(pieces):
                torn.add(n)
            start = end
        return torn

    def _belongs(self, pieces: Sequence[str]) -> bool:
        """Tell an amount ("두번", "이백") or a noun with its particle ("피가") by its syllables."""
        if set(pieces) <= self.counting:
            return bool(set(pieces) & self.scales)
        first, last = pieces[:-1], pieces[-1]
        if last in self.counters and set(first) <= self.counting:
            return True
        return len(first) == 1 and last in self.particles and first[0] not in self.counting


def _keep(table: dict[int, Cut], at: int, cut: Cut) -> None:
    if at not in table or cut[0] < table[at][0]:
        table[at] = cut
