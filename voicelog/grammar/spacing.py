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
WORD, SPLIT, JOIN, UNKNOWN = 1.0, 0.3, 0.6, 50.0
"""Costs: of a word, of a blank put in, of a blank taken out, of a word nobody knows."""

Cut = tuple[float, tuple[int, ...]]
"""Cost so far, and where its words end."""


@dataclass(frozen=True, slots=True)
class Spacing:
    """The known words of a language with free spacing.

    Args:
        known: every word that may be cut out.
        counting: number words.
        counters: words that follow a number ("번", "방울").
        raw_after: words before free text, which stays as it is written.
    """

    known: frozenset[str]
    counting: frozenset[str]
    counters: frozenset[str]
    raw_after: frozenset[str] = frozenset()

    def cut(self, words: Words) -> Words:
        """Return the sentence with its blanks where the grammar has them."""
        found: list[str] = []
        breaks: set[int] = set()
        for start, end in self._runs(words):
            if start in words.breaks:
                breaks.add(len(found))
            run = words.words[start:end]
            found.extend(self._known_words(run) if SYLLABLES.fullmatch(run[0]) else run)
        return Words(tuple(found), frozenset(breaks))

    def _runs(self, words: Words) -> list[tuple[int, int]]:
        """Return stretches that are cut as one: no comma, no figure in them."""
        count = len(words.words)
        edges = {0, count, *words.breaks}
        for at, word in enumerate(words.words):
            if not SYLLABLES.fullmatch(word):
                edges |= {at, at + 1}
        return list(pairwise(sorted(edges)))

    def _known_words(self, run: Sequence[str]) -> list[str]:
        at = next((n + 1 for n, word in enumerate(run) if word in self.raw_after), len(run))
        free = list(run[at:])
        run = run[:at]
        whole: set[int] = set()
        while True:
            found = self._best(run, whole)
            torn = self._torn(run, found) - whole
            if not torn:
                return found + free
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
        """Return the places of writing that was cut into single syllables, no amount among them."""
        ends = list(accumulate(map(len, found)))
        torn, start = set(), 0
        for n, word in enumerate(run):
            end = start + len(word)
            pieces = [p for p, last in zip(found, ends, strict=True) if start < last <= end]
            if len(pieces) > 1 and "".join(pieces) == word and all(len(p) == 1 for p in pieces):
                counted = pieces[-1] in self.counters and set(pieces[:-1]) <= self.counting
                if not counted:
                    torn.add(n)
            start = end
        return torn


def _keep(table: dict[int, Cut], at: int, cut: Cut) -> None:
    if at not in table or cut[0] < table[at][0]:
        table[at] = cut
