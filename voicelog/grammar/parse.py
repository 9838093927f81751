"""What a sentence means: cut into phrases, then judged."""

from collections.abc import Sequence
from itertools import pairwise

from voicelog.grammar.chart import Reading, readings
from voicelog.grammar.fuzzy import FuzzyWords
from voicelog.grammar.judge import Judge, Live, Parse
from voicelog.grammar.lexicon import Lexicon, longest
from voicelog.grammar.network import Match, Network
from voicelog.grammar.phrases import ASIDE
from voicelog.grammar.read import Read, told
from voicelog.grammar.tokens import Words

LISTED = 8
"""Words that are looked back for what a list goes on from."""
MORE = 0.25
"""What a reading may cost more than one that says less across a comma."""
ANSWER = "answer"
"""The slot of "yes", "no" and "later"; a slot that was asked for goes before it."""


class Parser:
    """Cuts sentences into phrases and decides whether that is safe to store."""

    def __init__(self, network: Network, lexicon: Lexicon, fuzzy: FuzzyWords) -> None:
        self.network, self.lexicon, self.fuzzy = network, lexicon, fuzzy
        self.judge = Judge(network, lexicon)
        fillers = (said for group in lexicon.fillers.values() for said in group)
        self.openers = frozenset(said[0] for said in fillers if len(said) == 1)

    def parse(
        self, text: str, words: Words, live: Live, expected: frozenset[str], *, strict: bool
    ) -> Parse:
        """Return the meaning of ``words``.

        Args:
            text: the sentence as given, kept for the record.
            words: the same, split.
            live: what is listened for now.
            expected: slots whose bare value counts because it was asked for.
            strict: no unknown word and no likeness is accepted.
        """
        best = self._readings(words, expected, strict=strict)
        spelt = self._spelt(words)
        guessed: tuple[str, ...] = ()
        if not strict and best and best[0].skipped:
            words, best, guessed = self._guess(words, best, expected)
        if not best or not words.words:
            return Parse(outcome="not_understood", text=text, spelt=spelt)
        best = _fullest(best, words.breaks)
        return self.judge.judge(Read(text, words, best, spelt, guessed, strict), live)

    def _spelt(self, words: Words) -> tuple[str, ...]:
        """Return the words with numbers in figures; none goes across punctuation."""
        edges = (0, *sorted(words.breaks), len(words.words))
        parts = (list(words.words[start:end]) for start, end in pairwise(edges))
        return tuple(word for part in parts for word in self.lexicon.figured(part))

    def _readings(
        self, words: Words, expected: frozenset[str], *, strict: bool = False
    ) -> list[Reading]:
        plain = list(words.words)

        def match(at: int) -> Sequence[Match]:
            found = self.network.match(plain, at, words.breaks)
            heard = [one for one in found if not one.asked or one.slot in expected]
            if strict:
                return heard
            for tells in (self._listed, self._carried):
                heard += [one for one in found if one not in heard and tells(one, words)]
            return [one for one in heard if not self._out_of_place(one, words)]

        def filler(at: int) -> int:
            return longest(self.lexicon.fillers, plain, at)

        def harmless(at: int) -> bool:
            passed = plain[at] in self.lexicon.harmless or self._closing(at, words)
            return not strict and passed

        # "No" to "any smell?" is about the smell, not an answer by itself.
        wanted = expected - {ANSWER} or expected
        return readings(plain, words.breaks, match, filler, harmless, wanted)

    def _closing(self, at: int, words: Words) -> bool:
        """Tell of a word that ends what was said, and corrects nothing: "quite thick actually"."""
        last = 0 < at == len(words.words) - 1 and at not in words.breaks
        return last and words.words[at] in self.lexicon.closing

    def _out_of_place(self, match: Match, words: Words) -> bool:
        closing = match.leads and self._closing(match.start, words)
        return closing or self._passing(match, words) or self._of_nothing(match, words)

    def _of_nothing(self, match: Match, words: Words) -> bool:
        """Tell of some of what comes in no amounts: "a bit of a fright"."""
        said, at = words.words, match.end
        kinds = self.lexicon.measured.get(match.slot, ())
        if at < len(said) and at not in words.breaks and said[at] in self.lexicon.of:
            at += 1
        if not kinds:
            return False
        if said[at - 1] not in self.lexicon.of:  # "a small" is as little as the "bit of" after it
            after = self._from(at, words)
            return any(m.slot == match.slot and self._of_nothing(m, words) for m in after)
        small = self.lexicon.harmless - self.lexicon.single
        while at < len(said) and at not in words.breaks and said[at] in small:
            at += 1
        if at == len(said):
            return False
        if said[at] in self.lexicon.single:
            return True
        return not any(m.slot in (*kinds, ASIDE) for m in self._from(at, words))

    def _from(self, at: int, words: Words) -> list[Match]:
        """Return the phrases that begin at this place, none at the end or after a comma."""
        if at >= len(words.words) or at in words.breaks:
            return []
        return self.network.match(list(words.words), at, words.breaks)

    def _listed(self, match: Match, words: Words) -> bool:
        """Tell of a bare word between commas or "and" that a list gives a meaning.

        "White, normal, moderate" tells of a thickness; "sats ninety five, normal" does not.
        """
        said, at, end = words.words, match.start, match.end
        if end - at > 1 or match.slot not in self.lexicon.listed.get(said[at], ()):
            return False
        joins = {place for place, word in enumerate(said) if word in self.lexicon.joins}
        edges = {0, len(said), *words.breaks}
        before = at - 1 if at - 1 in joins else at
        after = end + 1 if end in joins else end
        if not ((at in edges or before < at) and (end in edges or after > end)):
            return False
        plain = list(said)
        left = [
            one
            for start in range(max(0, before - LISTED), before)
            for one in self.network.match(plain, start, words.breaks)
            if one.end == before
        ]
        right = self.network.match(plain, after, words.breaks) if after < len(said) else []
        return any(
            beside and all(one.slot in self.lexicon.listing for one in beside)
            for beside in ([o for o in side if not o.asked] for side in (left, right))
        )

    def _carried(self, match: Match, words: Words) -> bool:
        """Tell of a bare number that what follows gives a meaning: "ninety four on two litres"."""
        at, said = match.start, words.words
        carriers = self.lexicon.carried.get(match.slot, {})
        first = at == 0 or at in words.breaks or said[at - 1] in self.lexicon.harmless
        if not carriers or not first or isinstance(match.value, str):
            return False
        return any(
            not one.asked
            and match.value >= carriers.get(f"{one.slot} {said[one.start]}", match.value + 1)
            for one in self._from(match.end, words)
        )

    def _passing(self, match: Match, words: Words) -> bool:
        """Tell small words from the command they may be: "out" in "got white stuff out of him".

        They are a command where a sentence or a comma begins; more than one of them,
        at its end too, unless they may go on ("sticky stuff coming out").
        """
        said = words.words[match.start : match.end]
        if match.slot != "action" or not self.lexicon.harmless.issuperset(said):
            return False
        last = match.end in words.breaks | {len(words.words)}
        if len(said) > 1 and last and said[0] not in self.lexicon.trailing:
            return False
        start = match.start
        while start and start not in words.breaks and words.words[start - 1] in self.openers:
            start -= 1
        return start > 0 and start not in words.breaks

    def _guess(
        self, words: Words, best: list[Reading], expected: frozenset[str]
    ) -> tuple[Words, list[Reading], tuple[str, ...]]:
        plain = list(words.words)
        skipped = [at for at in best[0].skipped if not longest(self.lexicon.blockers, plain, at)]
        guesses = {at: self.fuzzy.nearest(plain[at]) for at in skipped}
        changed = {at: word for at, word in guesses.items() if word is not None}
        if not changed:
            return words, best, ()
        for at, word in changed.items():
            plain[at] = word
        renewed = Words(tuple(plain), words.breaks)
        again = self._readings(renewed, expected)
        if len(again[0].skipped) >= len(best[0].skipped):
            return words, best, ()
        taken = tuple(word for at, word in changed.items() if at not in again[0].skipped)
        return renewed, again, taken


def _fullest(best: list[Reading], breaks: frozenset[int]) -> list[Reading]:
    """Return the readings without those across a comma, where another says all of it and more.

    In "just a little bit, white" the words before the comma are an amount and no shade.
    """

    def across(one: Reading) -> bool:
        words = (match for match in told(one) if isinstance(match.value, str))
        inside = (at for match in words for at in range(match.start + 1, match.end))
        return not breaks.isdisjoint(inside)

    def less(one: Reading, other: Reading) -> bool:
        said, more = (_said(reading) for reading in (one, other))
        dear = other.cost - one.cost > MORE or len(other.skipped) > len(one.skipped)
        return said < more and not (dear or other.clashes)

    whole = [one for one in best if not across(one)]
    return [one for one in best if not (across(one) and any(less(one, o) for o in whole))]


def _said(reading: Reading) -> set[tuple[str, object]]:
    return {(match.slot, match.value) for match in told(reading)}
