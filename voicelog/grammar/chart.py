"""The best ways to cut a sentence into phrases, each slot at most once."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from voicelog.entries import SlotValue
from voicelog.grammar.network import Match
from voicelog.grammar.phrases import ASIDE

WIDTH = 12
"""Partial readings kept at each word."""
SKIP_COST = 1.0
HARMLESS_COST = 0.15
"""Dearer than a phrase, so that "done" and "a little" are phrases where they can be."""
FILLER_COST = 0.02
PHRASE_COST = 0.1
CLASH_COST = 0.35
"""A second value for a slot: dearer than a clean reading, cheaper than passing over a word."""
ASKED_GAIN = 0.15
"""What was asked for wins over a filler, and over the same words in another slot."""
NOTE_COST = 0.001
"""For each word of a note."""
BREAK_COST = 0.3
"""A phrase that runs across a comma is allowed, but a reading without is better."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the whole sentence.

    Args:
        cost: lower is better.
        matches: its phrases in order.
        skipped: places of words that belong to no phrase and are no fillers.
        clashes: phrases that give a filled slot a different value.
    """

    cost: float = 0.0
    matches: tuple[Match, ...] = ()
    skipped: tuple[int, ...] = ()
    clashes: tuple[Match, ...] = ()

    @property
    def slots(self) -> dict[str, SlotValue]:
        """Slot to value."""
        return {match.slot: match.value for match in self.matches}

    def key(self) -> tuple[object, ...]:
        """What makes two readings mean the same."""
        return (tuple(sorted(self.slots.items(), key=str)), self.skipped, self.clashes)

    def take(self, match: Match, extra: float) -> "Reading":
        """Return this reading with one more phrase."""
        cost = self.cost + PHRASE_COST + extra
        known = self.slots.get(match.slot)
        if known is None:
            return Reading(cost, (*self.matches, match), self.skipped, self.clashes)
        if known == match.value:
            return Reading(cost, (*self.matches, match), self.skipped, self.clashes)
        cost += CLASH_COST
        return Reading(cost, self.matches, self.skipped, (*self.clashes, match))


def readings(
    words: Sequence[str],
    breaks: frozenset[int],
    match: Callable[[int], Sequence[Match]],
    filler: Callable[[int], int],
    harmless: Callable[[int], bool] = lambda at: False,
    expected: frozenset[str] = frozenset(),
) -> list[Reading]:
    """Return the best readings of ``words``, best first.

    Args:
        words: the sentence.
        breaks: places of words that follow punctuation.
        match: the phrases that start at a place.
        filler: how many words from a place on are a filler (0 for none).
        harmless: whether the word at a place may be skipped without a thought.
        expected: slots that were asked for.
    """
    table: list[dict[tuple[object, ...], Reading]] = [{} for _ in range(len(words) + 1)]
    table[0][()] = Reading()
    for at in range(len(words)):
        kept = sorted(table[at].values(), key=lambda reading: reading.cost)[:WIDTH]
        if not kept:
            continue
        options = match(at)
        noise = filler(at)
        for reading in kept:
            for option in options:
                inside = [place for place in breaks if option.start < place < option.end]
                crossed = BREAK_COST * len(inside)
                if option.extra:  # a note may be parted as it likes; "please" before is not in it
                    crossed = NOTE_COST * len(option.extra.split())
                gain = ASKED_GAIN if option.slot in expected else 0.0
                _keep(table[option.end], reading.take(option, crossed - gain))
            if noise:
                step = Reading(
                    reading.cost + FILLER_COST * noise,
                    reading.matches,
                    reading.skipped,
                    reading.clashes,
                )
                _keep(table[at + noise], step)
            if harmless(at):
                cost, skip = HARMLESS_COST, reading.skipped
            else:
                cost, skip = SKIP_COST, (*reading.skipped, at)
            skipping = Reading(reading.cost + cost, reading.matches, skip, reading.clashes)
            _keep(table[at + 1], skipping)
    return sorted(table[-1].values(), key=_order)[:WIDTH]


def _order(reading: Reading) -> tuple[float, bool]:
    """At the same cost words are rather a value than none: "read that again"."""
    return round(reading.cost, 6), reading.slots.keys() <= {ASIDE}


def _keep(cell: dict[tuple[object, ...], Reading], reading: Reading) -> None:
    key = reading.key()
    known = cell.get(key)
    if known is None or reading.cost < known.cost:
        cell[key] = reading
