"""What stands right beside a phrase and makes it about something else."""

from collections.abc import Sequence

from voicelog.grammar.lexicon import Lexicon, inside, longest
from voicelog.grammar.network import Match
from voicelog.grammar.read import Read, places, told

BEFORE_UNKNOWN = "before_unknown"
DESCRIBING = "describing"
OWN = "own"
LINKED = "linked"
MORE = "more"


def of_something_else(lexicon: Lexicon, read: Read) -> bool:
    """Tell whether a phrase goes on with a strange word: "mils of calpol", "not much sleep"."""
    words, found = read.words.words, told(read.top)
    measures = lexicon.beside.get(BEFORE_UNKNOWN, ())
    strange = set(read.top.skipped) - read.words.breaks
    measured = [
        match
        for match in found
        if match.slot in measures
        and (isinstance(match.value, str) or _unnamed(lexicon, words[match.start]))
    ]
    more = any(_of_more(lexicon, read, match) for match in found)
    if more or any(match.end in strange for match in measured):
        return True
    nouns = {at for at in strange if not lexicon.counts(words[at])}
    describing = lexicon.beside.get(DESCRIBING, ())
    if any(listed(match, describing) and match.end in nouns for match in found):
        return True
    if any(_after_strange(lexicon, read, match.start) for match in measured):
        return True
    ends = {match.end for match in found}
    own = lexicon.beside.get(OWN, ())
    owned = any(match.slot in own and _own(lexicon, words, match.start) for match in found)
    if owned or _linked(lexicon, read, nouns):
        return True
    aimed = {at: longest(lexicon.aims, words, at) for at in ends if at < len(words)}
    if any(length and at + length in strange for at, length in aimed.items()):
        return True
    return any(at - 1 in ends and words[at - 1] in lexicon.of for at in read.top.skipped)


def _of_more(lexicon: Lexicon, read: Read, match: Match) -> bool:
    """Tell whether a count goes on with "of" what it counts: "a drop of clear stuff"."""
    words, at = read.words.words, match.end
    if match.slot not in lexicon.beside.get(MORE, ()) or at in read.words.breaks:
        return False
    return at < len(words) and words[at] in lexicon.of and at not in places(read.top.matches)


def _linked(lexicon: Lexicon, read: Read, nouns: set[int]) -> bool:
    """Tell whether a strange thing is what a value is said of: "that yoghurt is thick"."""
    words = read.words.words
    slots = lexicon.beside.get(LINKED, ())
    starts = {match.start for match in told(read.top) if match.slot in slots}
    commands = {match.start for match in told(read.top) if listed(match, slots)} - starts
    if any(at + 1 in commands and words[at].endswith(lexicon.linking) for at in nouns):
        return True
    links = {at + 1 for at in nouns if words[at + 1 : at + 2] and words[at + 1] in lexicon.links}
    return any(not {at, at + 1}.isdisjoint(starts | commands) for at in links)


def listed(match: Match, keys: Sequence[str]) -> bool:
    """Tell whether a list names the phrase's slot, or the slot with this value."""
    return match.slot in keys or f"{match.slot} {match.value}" in keys


def _own(lexicon: Lexicon, words: Sequence[str], start: int) -> bool:
    """Tell whether the speaker is named right before this place: "i'm wheezy"."""
    return any(longest(lexicon.selves, words, at) == start - at for at in range(start))


def _unnamed(lexicon: Lexicon, first: str) -> bool:
    """Tell whether a number phrase begins without the name of its slot."""
    return lexicon.counts(first) or first in lexicon.harmless


def _after_strange(lexicon: Lexicon, read: Read, start: int) -> bool:
    """Tell whether a strange verb stands before an amount: "was moving about a lot"."""
    words, at = read.words.words, start
    while at and at not in read.words.breaks and words[at - 1] in lexicon.harmless:
        at -= 1
    return at > 0 and at not in read.words.breaks and at - 1 in read.top.skipped


def astray(lexicon: Lexicon, read: Read) -> bool:
    """Tell whether a number is a difference, or about what stands right beside it."""
    words, breaks = read.words.words, read.words.breaks
    found = told(read.top)
    ends = {match.end: match.slot for match in found}
    starts = {match.start: match.slot for match in found}
    covered = places(read.top.matches)
    for match in found:
        at = match.start
        if isinstance(match.value, str):
            continue
        close = at > 0 and at not in breaks
        change = close and words[at - 1] in lexicon.differences
        if change and at - 1 not in covered and not _in_filler(lexicon, words, at - 1):
            return True
        led = at
        while led < match.end - 1 and words[led] in lexicon.leading:
            led += 1
        bare = lexicon.counts(words[led]) and words[match.end - 1] not in lexicon.owning
        if match.end - at > 1 and not bare:
            continue
        near = [starts.get(match.end)] if match.end not in breaks else []
        while at > 0 and at not in breaks and at not in ends and words[at - 1] in lexicon.links:
            at -= 1  # "the gagging was ten seconds"
        if at > 0 and (at not in breaks or words[match.start] in lexicon.lasting):
            near += [ends.get(at), "unknown" if at - 1 in read.top.skipped else None]
        if any(match.slot in lexicon.beside.get(slot or "", ()) for slot in near):
            return True
    return False


def _in_filler(lexicon: Lexicon, words: Sequence[str], at: int) -> bool:
    """Tell whether ``words[at]`` is part of a filler of several words ("write down")."""
    single = longest(lexicon.fillers, words[at : at + 1], 0) == 1
    return not single and inside(lexicon.fillers, words[: at + 1], at)
