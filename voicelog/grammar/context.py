"""What else in a sentence makes its meaning doubtful, so that it is asked about."""

from itertools import pairwise

from voicelog.entries import Slots
from voicelog.grammar.lexicon import Lexicon, longest
from voicelog.grammar.neighbours import listed
from voicelog.grammar.read import Read, places, told

OF, WHOLE, FACE, OWNERS, REPEATED, OWNED = "of", "whole", "face", "owners", "repeated", "owned"


def doubtful(lexicon: Lexicon, read: Read, slots: Slots) -> bool:
    """Tell whether the sentence may be about another time, another thing, or no correction."""
    return (
        _of_earlier(lexicon, read)
        or _mixed(lexicon, slots)
        or _led_astray(read)
        or _asked(lexicon, read, slots)
        or _wait(lexicon, read)
        or _taken_back(lexicon, read)
        or _ordered(lexicon, read, slots)
        or _of_no_stuff(lexicon, read)
        or _goes_on(lexicon, read)
        or _two_numbers(lexicon, read)
        or _of_the_child(lexicon, read)
        or _rate(lexicon, read, slots)
        or _owned_by_strange(lexicon, read)
        or _repeated(lexicon, read)
        or _instead_of_nothing(lexicon, read)
        or _unended(lexicon, read)
        or _named(lexicon, read)
        or _listed_strange(lexicon, read)
    )


def _of_earlier(lexicon: Lexicon, read: Read) -> bool:
    """Tell of "used to be", or of the past beside a part of the day ("was high this morning")."""
    words = read.words.words
    # but a note, or what the log is asked, may be about any time
    free = places(
        match
        for match in read.top.matches
        if match.extra or (match.slot == "action" and match.value in lexicon.requests)
    )
    if any(longest(lexicon.habits, words, at) for at in range(len(words)) if at not in free):
        return True
    if lexicon.past.isdisjoint(words):
        return False
    covered = places((*read.top.matches, *read.top.clashes))
    return any(
        not covered.issuperset(range(at, at + length))
        for at in range(len(words))
        if (length := longest(lexicon.day_parts, words, at))
    )


def _mixed(lexicon: Lexicon, slots: Slots) -> bool:
    """Tell of a value that may belong to what was cared for: "cleaned the stoma, bit red".

    So may one beside a value that does not go with it: "dry, thick yellow".
    """
    values = (f"{slot} {value}" for slot, value in slots.items())
    said = (str(slots.get("action", "")), *slots, *values)
    return any(slot in slots for key in said for slot in lexicon.mixed.get(key, ()))


def _led_astray(read: Read) -> bool:
    """Tell of strange words between "oops" and the value it would correct."""
    return any(
        one.leads and any(one.end <= at < other.start for at in read.top.skipped)
        for one, other in pairwise(told(read.top))
    )


def _asked(lexicon: Lexicon, read: Read, slots: Slots) -> bool:
    """Tell of a value that was asked for and not told: "yellow?", "two passes, right"."""
    if lexicon.requests.issuperset(map(str, slots.values())):
        return False
    last = len(read.words.words) - 1
    tagged = read.words.words[last] in lexicon.tags
    after = last in read.words.breaks or any(match.end == last for match in read.top.matches)
    return "?" in read.text or (tagged and after)


def _wait(lexicon: Lexicon, read: Read) -> bool:
    """Tell of a time so short and bare that it only asks for patience: "two secs"."""
    return any(
        match.end - match.start == 2 and float(match.value) <= lexicon.waits[match.slot]
        for match in told(read.top)
        if match.slot in lexicon.waits
    )


def _taken_back(lexicon: Lexicon, read: Read) -> bool:
    """Tell of strange words after a "but": "looked yellow but that's the light"."""
    words, breaks = read.words.words, read.words.breaks
    return any(
        words[at] in lexicon.turns and not breaks.intersection(range(at + 1, strange + 1))
        for strange in read.top.skipped
        for at in range(strange)
    )


def _ordered(lexicon: Lexicon, read: Read, slots: Slots) -> bool:
    """Tell of what another is told to do ("put him on two litres"); the log may be told.

    By the words as given: an order must not be taken for the like word of what was done.
    """
    told_to = longest(lexicon.orders, read.spelt, 0) > 0
    return told_to and slots.get("action") not in lexicon.requests


def _goes_on(lexicon: Lexicon, read: Read) -> bool:
    """Tell of a command that goes on with strange words: "help me with the dishes"."""
    whole = lexicon.beside.get(WHOLE, ())
    return any(
        not read.words.breaks.intersection(range(one.end, at + 1))
        for one in told(read.top)
        if listed(one, whole)
        for at in read.top.skipped
        if one.end <= at
    )


def _two_numbers(lexicon: Lexicon, read: Read) -> bool:
    """Tell of a number that may be two: "two three litres", "ninety two visitors"."""
    words, strange = read.words.words, set(read.top.skipped) - read.words.breaks
    for match in told(read.top):
        if isinstance(match.value, str):
            continue
        last = words[match.end - 2 : match.end]
        if match.end in strange and match.end - match.start > 1 and all(map(lexicon.counts, last)):
            return True
        for pair in pairwise(words[match.start : match.end]):
            one, other = ("".join(lexicon.figured([word])) for word in pair)
            digits = len(one) == len(other) == 1 and (one + other).isdigit()
            if digits and int(other) == int(one) + 1 and match.value == float(f"{one}.{other}"):
                return True
    return False


def _owned_by_strange(lexicon: Lexicon, read: Read) -> bool:
    """Tell of a number of a strange thing's: "the doll's temperature", but not "Rosie's"."""
    words, strange = read.words.words, set(read.top.skipped)
    return any(
        at - 1 in strange
        and at not in read.words.breaks
        and words[at - 1].endswith(lexicon.linking)
        and words[at - 2] in lexicon.beside.get(OWNERS, ())
        for at in (match.start for match in told(read.top) if not isinstance(match.value, str))
        if at > 1
    )


def _rate(lexicon: Lexicon, read: Read, slots: Slots) -> bool:
    """Tell of a number without a unit that may be a rate or a warmth: "feed at sixty"."""
    words = read.words.words
    return "action" not in slots and any(
        not lexicon.rates.get(match.slot, frozenset()).isdisjoint(words[match.start : match.end])
        for match in told(read.top)
        if lexicon.counts(words[match.end - 1])
    )


def _of_the_child(lexicon: Lexicon, read: Read) -> bool:
    """Tell of a bare colour that may be the face's: "crying and red"."""
    words, breaks = read.words.words, read.words.breaks
    return any(
        lexicon.joins.issuperset(words[first.end : last.start])
        and breaks.isdisjoint(range(first.end, last.start + 1))
        and said.end - said.start == 1
        and listed(said, lexicon.beside.get(f"{child.slot} {FACE}", ()))
        for first, last in pairwise(told(read.top))
        for child, said in ((first, last), (last, first))
    )


def _of_no_stuff(lexicon: Lexicon, read: Read) -> bool:
    """Tell of much or little of a bare word that is no stuff: "a bit of foul" (foam?)."""
    said, words = told(read.top), read.words.words
    slots, starts = lexicon.beside.get(OF, ()), {match.start for match in said}
    return any(
        one.end == other.start
        and words[one.end - 1] in lexicon.of
        and other.slot in slots
        and other.end - other.start == 1
        and other.end not in starts
        for one, other in pairwise(said)
    )


def _repeated(lexicon: Lexicon, read: Read) -> bool:
    """Tell of a count that may repeat what stands right before it: "three drops twice"."""
    words, breaks = read.words.words, read.words.breaks
    slots = lexicon.beside.get(REPEATED, ())
    return any(
        one.end == other.start
        and one.slot in slots
        and other.start not in breaks
        and words[other.end - 1] in lexicon.counted
        and (other.end - other.start == 1 or lexicon.counts(words[other.start]))
        for one, other in pairwise(told(read.top))
    )


def _instead_of_nothing(lexicon: Lexicon, read: Read) -> bool:
    """Tell of a value in place of another where none was said: "yellow i mean"."""
    words, said = read.words.words, told(read.top)
    if any(one.leads for one in said):
        return False
    return any(
        words[one.end - 1] in lexicon.reworded
        and not any(other.slot == one.slot and other.end <= one.start for other in said)
        for one in said
    )


def _unended(lexicon: Lexicon, read: Read) -> bool:
    """Tell of other words that go on with a phrase: "and it smells of soap"."""
    words, breaks = read.words.words, read.words.breaks
    covered = places(read.top.matches)
    return any(
        one.end < len(words)
        and words[one.end - 1] in lexicon.unended.get(one.slot, ())
        and one.end not in breaks | covered
        and not longest(lexicon.fillers, words, one.end)
        for one in told(read.top)
    )


def _named(lexicon: Lexicon, read: Read) -> bool:
    """Tell of what a strange word owns or is: "mia's muck is green" (a child, or the cat)."""
    words = read.words.words
    slots = lexicon.beside.get(OWNED, ())
    starts = {match.start for match in told(read.top) if match.slot in slots}
    return any(at + 1 in starts and words[at].endswith(lexicon.linking) for at in read.top.skipped)


def _listed_strange(lexicon: Lexicon, read: Read) -> bool:
    """Tell of an unknown word where a list has a value: "white, gungy", "gungy and thick"."""
    words, covered = read.words.words, places((*read.top.matches, *read.top.clashes))
    listing = {
        at for m in told(read.top) if m.slot in lexicon.listing for at in (m.start, m.end - 1)
    }
    joins = {at for at, word in enumerate(words) if word in lexicon.joins} - covered
    edges = sorted({0, len(words)} | read.words.breaks | joins | {at + 1 for at in joins})
    strange, beside = set(read.top.skipped), set(range(len(words))) - joins
    for start, end in pairwise(edges):
        before = next((at for at in range(start - 1, -1, -1) if at in beside), None)
        after = next((at for at in range(end, len(words)) if at in beside), None)
        found = strange.intersection(range(start, end))
        if len(found) == 1 and covered.isdisjoint(range(start, end)) and {before, after} & listing:
            return True
    return False
