"""What a sentence means: cut into phrases, then judged."""

from collections.abc import Sequence

from voicelog.grammar.chart import Reading, readings
from voicelog.grammar.fuzzy import FuzzyWords
from voicelog.grammar.judge import Judge, Lexicon, Live, Parse, Read, longest
from voicelog.grammar.network import Match, Network
from voicelog.grammar.tokens import Words

ANSWER = "answer"
"""The slot of "yes", "no" and "later"; a slot that was asked for goes before it."""


class Parser:
    """Cuts sentences into phrases and decides whether that is safe to store."""

    def __init__(self, network: Network, lexicon: Lexicon, fuzzy: FuzzyWords) -> None:
        self.network, self.lexicon, self.fuzzy = network, lexicon, fuzzy
        self.judge = Judge(network, lexicon)

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
        guessed: tuple[str, ...] = ()
        if not strict and best and best[0].skipped:
            words, best, guessed = self._guess(words, best, expected)
        if not best or not words.words:
            return Parse(outcome="not_understood", text=text)
        return self.judge.judge(Read(text, words, best, guessed, strict), live)

    def _readings(
        self, words: Words, expected: frozenset[str], *, strict: bool = False
    ) -> list[Reading]:
        plain = list(words.words)

        def match(at: int) -> Sequence[Match]:
            found = self.network.match(plain, at, words.breaks)
            return [one for one in found if not one.asked or one.slot in expected]

        def filler(at: int) -> int:
            return longest(self.lexicon.fillers, plain, at)

        def harmless(at: int) -> bool:
            return not strict and plain[at] in self.lexicon.harmless

        # "No" to "any smell?" is about the smell, not an answer by itself.
        wanted = expected - {ANSWER} or expected
        return readings(plain, words.breaks, match, filler, harmless, wanted)

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
