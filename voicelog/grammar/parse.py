"""What a sentence means: understood, to be asked again, or not for the record."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from voicelog.entries import Frozen, Slots
from voicelog.grammar.chart import Reading, readings
from voicelog.grammar.fuzzy import FuzzyWords
from voicelog.grammar.network import Match, Network
from voicelog.grammar.tokens import Words

Outcome = Literal["understood", "ask", "not_understood"]
Live = Literal["idle", "open"]
WAKE = "wake"
TIE = 0.05
"""Two readings whose costs are this near are equally good."""
MOST_SKIPPED = 0.5
"""Unknown words for each word of a phrase; above it the sentence was about something else."""


class Parse(Frozen):
    """The meaning of one sentence.

    Args:
        outcome: ``ask`` comes with two or more alternatives.
        slots: what was said, if understood; what is sure, if to be asked.
        alternatives: the meanings to choose from, whole slot tables.
        text: the sentence as it was given.
        note: the free text of a note.
        skipped: words that belong to no phrase.
        guessed: words taken for a known word they resemble.
        woken: the wake phrase was in it.
        clear: share of the words that are phrases or fillers, 0 to 1.
    """

    outcome: Outcome
    slots: Slots = Field(default_factory=dict)
    alternatives: tuple[Slots, ...] = ()
    text: str = ""
    note: str = ""
    skipped: tuple[str, ...] = ()
    guessed: tuple[str, ...] = ()
    woken: bool = False
    clear: float = 0.0


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Words with a part to play outside phrases.

    ``fillers`` and ``blockers`` map a first word to whole word sequences.
    ``harmless`` words may be skipped; ``cues`` announce a number ("pressure",
    "drops"), so that skipping one means its number was lost.
    """

    fillers: dict[str, tuple[tuple[str, ...], ...]]
    blockers: dict[str, tuple[tuple[str, ...], ...]]
    counting: frozenset[str]
    idle_words: frozenset[str]
    harmless: frozenset[str] = frozenset()
    cues: frozenset[str] = frozenset()


class Parser:
    """Cuts sentences into phrases and decides whether that is safe to store."""

    def __init__(self, network: Network, lexicon: Lexicon, fuzzy: FuzzyWords) -> None:
        self.network, self.lexicon, self.fuzzy = network, lexicon, fuzzy

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
        return self._judge(text, words, best, live, guessed, strict=strict)

    def _readings(
        self, words: Words, expected: frozenset[str], *, strict: bool = False
    ) -> list[Reading]:
        plain = list(words.words)

        def match(at: int) -> Sequence[Match]:
            found = self.network.match(plain, at)
            return [one for one in found if not one.asked or one.slot in expected]

        def filler(at: int) -> int:
            return _longest(self.lexicon.fillers, plain, at)

        def harmless(at: int) -> bool:
            return not strict and plain[at] in self.lexicon.harmless

        return readings(plain, words.breaks, match, filler, harmless, expected)

    def _guess(
        self, words: Words, best: list[Reading], expected: frozenset[str]
    ) -> tuple[Words, list[Reading], tuple[str, ...]]:
        plain = list(words.words)
        guesses = {at: self.fuzzy.nearest(plain[at]) for at in best[0].skipped}
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

    def _judge(
        self,
        text: str,
        words: Words,
        best: list[Reading],
        live: Live,
        guessed: tuple[str, ...],
        *,
        strict: bool,
    ) -> Parse:
        top = best[0]
        skipped = tuple(words.words[at] for at in top.skipped)
        slots, note, woken = _meaning(top)
        result = Parse(
            outcome="not_understood",
            text=text,
            note=note,
            skipped=skipped,
            guessed=guessed,
            woken=woken,
            clear=1 - (len(skipped) + 0.5 * len(guessed)) / len(words.words),
        )
        if not self._heard_in(live, top, woken=woken) or self._blocked(words, top):
            return result
        if not slots and woken and not skipped:
            return result.model_copy(update={"outcome": "understood"})
        if not slots:
            return self._bare(words, result) if not strict else result
        if strict and skipped:
            return result
        if any(word in self.lexicon.cues for word in skipped):
            return result
        content = [word for word in skipped if word not in self.lexicon.counting]
        said = sum(match.end - match.start for match in (*top.matches, *top.clashes))
        if len(content) > MOST_SKIPPED * said:
            return result
        rivals = _rivals(best)
        if rivals:
            sure = {k: v for k, v in slots.items() if all(r.get(k) == v for r in rivals)}
            alternatives = tuple(_distinct((slots, *rivals)))
            return result.model_copy(
                update={"outcome": "ask", "slots": sure, "alternatives": alternatives}
            )
        if any(word in self.lexicon.counting or word.isdigit() for word in skipped):
            return result.model_copy(update={"outcome": "ask", "slots": slots})
        return result.model_copy(update={"outcome": "understood", "slots": slots})

    def _heard_in(self, live: Live, top: Reading, *, woken: bool) -> bool:
        if live != "idle":
            return True
        if not top.matches:
            return False
        first = top.matches[0]
        if woken:
            return first.slot == WAKE
        starts = first.slot == "action" and first.value in self.lexicon.idle_words
        return starts and not top.skipped

    def _blocked(self, words: Words, top: Reading) -> bool:
        told = (*top.matches, *top.clashes)
        covered = {at for match in told for at in range(match.start, match.end)}
        return any(
            length > 0 and not covered.issuperset(range(at, at + length))
            for at in range(len(words.words))
            for length in [_longest(self.lexicon.blockers, words.words, at)]
        )

    def _bare(self, words: Words, result: Parse) -> Parse:
        """A value with no slot ("fifteen") is asked about where several slots could hold it."""
        fillers = self.lexicon.fillers
        plain = [w for at, w in enumerate(words.words) if not _inside(fillers, words.words, at)]
        found = self.network.match(plain, 0) if plain else []
        alternatives = _distinct(
            {match.slot: match.value} for match in found if match.end == len(plain) and match.asked
        )
        if len(alternatives) < 2:
            return result
        return result.model_copy(update={"outcome": "ask", "alternatives": tuple(alternatives)})


def _meaning(reading: Reading) -> tuple[Slots, str, bool]:
    slots = reading.slots
    woken = slots.pop(WAKE, None) is not None
    note = ""
    for match in reading.matches:
        if match.extra and match.value == "note":
            note = match.extra
        elif match.extra:
            slots["caregiver"] = match.extra
    return slots, note, woken


def _rivals(best: list[Reading]) -> list[Slots]:
    top = best[0]
    found: list[Slots] = [{**_meaning(top)[0], clash.slot: clash.value} for clash in top.clashes]
    for other in best[1:]:
        near = other.cost - top.cost <= TIE and len(other.skipped) <= len(top.skipped)
        if near and other.slots != top.slots:
            found.append(_meaning(other)[0])
    return found


def _distinct(tables: Iterable[Slots]) -> list[Slots]:
    kept: list[Slots] = []
    for table in tables:
        if table not in kept:
            kept.append(table)
    return kept


def _longest(table: dict[str, tuple[tuple[str, ...], ...]], words: Sequence[str], at: int) -> int:
    options = table.get(words[at], ())
    return max((len(o) for o in options if tuple(words[at : at + len(o)]) == o), default=0)


def _inside(table: dict[str, tuple[tuple[str, ...], ...]], words: Sequence[str], at: int) -> bool:
    return any(at < start + _longest(table, words, start) for start in range(at + 1))
