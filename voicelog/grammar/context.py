"""What else in a sentence makes its meaning doubtful, so that it is asked about."""

from itertools import pairwise

from voicelog.entries import Slots
from voicelog.grammar.lexicon import Lexicon, longest
from voicelog.grammar.read import Read, told


def doubtful(lexicon: Lexicon, read: Read, slots: Slots) -> bool:
    """Tell whether the sentence may be about another time, another thing, or no correction."""
    return _of_earlier(lexicon, read) or _mixed(lexicon, slots) or _led_astray(read)


def _of_earlier(lexicon: Lexicon, read: Read) -> bool:
    """Tell of "used to be", or of the past beside a part of the day ("was high this morning")."""
    words = read.words.words
    if any(longest(lexicon.habits, words, at) for at in range(len(words))):
        return True
    if lexicon.past.isdisjoint(words):
        return False
    phrases = (*read.top.matches, *read.top.clashes)
    covered = {at for match in phrases for at in range(match.start, match.end)}
    return any(
        not covered.issuperset(range(at, at + length))
        for at in range(len(words))
        if (length := longest(lexicon.day_parts, words, at))
    )


def _mixed(lexicon: Lexicon, slots: Slots) -> bool:
    """Tell of a value that may belong to what was cared for: "cleaned the stoma, bit red"."""
    said = (str(slots.get("action", "")), *slots)
    return any(slot in slots for key in said for slot in lexicon.mixed.get(key, ()))


def _led_astray(read: Read) -> bool:
    """Tell of strange words between "oops" and the value it would correct."""
    return any(
        one.leads and any(one.end <= at < other.start for at in read.top.skipped)
        for one, other in pairwise(told(read.top))
    )
