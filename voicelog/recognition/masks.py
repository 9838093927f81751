"""Which subwords may come next: llguidance for each part, strung together here.

An utterance is a chain of parts, each slot at most once, fillers between them.
Every part has a small grammar of its own, so that its masks depend on nothing
but the words of that part and are remembered from one utterance to the next.
"""

import re
from collections import OrderedDict
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any, NamedTuple

import numpy as np
from llguidance import LLMatcher
from numpy.typing import NDArray

from voicelog.errors import VoicelogError
from voicelog.grammar import Live
from voicelog.grammar.mask import FILLER, HARMLESS, START
from voicelog.grammar.phrases import WAKE
from voicelog.recognition.vocabulary import END, Vocabulary, matcher
from voicelog.recognition.written import Writer

MOST_REMEMBERED = 80
"""Of each table; a mask takes 4 KB, and a night is long."""
MOST_MATCHERS = 16
CORES = 2
MOST_OPENINGS = 600
"""Of these a mask and a list of pairs are remembered, 8 KB."""
MOST_FILLERS, MOST_SMALL_WORDS = 2, 6
MOST_OTHERS = 5
OTHER = "other"
"""A word that no grammar lists; the parser decides later whether it may be skipped."""
OTHER_STARTS = re.compile(rb" [A-Za-z']+")
OTHER_GOES_ON = re.compile(rb"[a-z']+")
PUNCTUATION = (b",", b".", b";", b":", b"!", b"?")
Tokens = tuple[int, ...]
Bits = NDArray[np.uint8]


class MaskRefusedError(VoicelogError, ValueError):
    """llguidance does not accept the grammar that was written for it."""

    def __init__(self, part: str, why: str) -> None:
        super().__init__(f"The grammar of '{part}' cannot be used for listening: {why[:200]}")


class Place(NamedTuple):
    """Where one reading of the text so far stands.

    ``part`` is "" between parts; ``tokens`` are those of the part alone;
    ``others`` counts the words that no grammar lists.
    """

    used: frozenset[str]
    fillers: int
    others: int
    part: str
    tokens: Tokens


State = frozenset[Place]
"""Every reading of the same text."""


class PartMask:
    """The masks of one part, remembered by its subwords so far."""

    def __init__(self, vocabulary: Vocabulary, part: str, lark: str) -> None:
        self._matchers: OrderedDict[Tokens, LLMatcher] = OrderedDict()
        self._known: OrderedDict[Tokens, tuple[Bits, bool]] = OrderedDict()
        self._size = len(vocabulary.pieces) // 8
        self._first = matcher(vocabulary, lark)
        if self._first.is_error():
            raise MaskRefusedError(part, self._first.get_error())

    def after(self, text: Tokens) -> tuple[Bits, bool]:
        """Return the mask (packed, little-endian) after ``text``, and whether it may end there."""
        known = self._known.get(text)
        if known is None:
            raw = np.frombuffer(self._matcher(text).compute_bitmask(), np.uint8)
            bits = raw[: self._size].copy()
            ends = bool(bits[END >> 3] >> (END & 7) & 1)
            bits[END >> 3] &= ~np.uint8(1 << (END & 7))
            known = self._known[text] = (bits, ends)
            if len(self._known) > MOST_REMEMBERED:
                self._forget_one()
        return known

    def _forget_one(self) -> None:
        """Forget the oldest mask but the first: every other word asks for that one."""
        oldest = next(text for text in self._known if text)
        del self._known[oldest]

    def _matcher(self, text: Tokens) -> LLMatcher:
        walked = self._matchers.get(text)
        if walked is None:
            if not text:
                return self._first
            walked = self._matcher(text[:-1]).deep_copy()
            walked.consume_token(text[-1])
            self._matchers[text] = walked
            _trim(self._matchers, MOST_MATCHERS)
        return walked


class OtherMask:
    """The mask of one word outside the grammar: letters only."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._starts = _pack([bool(OTHER_STARTS.fullmatch(p)) for p in vocabulary.pieces])
        self._goes_on = _pack([bool(OTHER_GOES_ON.fullmatch(p)) for p in vocabulary.pieces])

    def after(self, text: Tokens) -> tuple[Bits, bool]:
        """Return the mask after ``text``, and whether it may end there."""
        return (self._goes_on, True) if text else (self._starts, False)


def _pack(bits: list[bool]) -> Bits:
    return np.packbits(np.asarray(bits), bitorder="little")


class PartMasks:
    """The part masks of a grammar, made when first needed and shared by all states."""

    def __init__(self, vocabulary: Vocabulary, writer: Writer) -> None:
        self.vocabulary, self.writer = vocabulary, writer
        self.other = OtherMask(vocabulary)
        self._parts: dict[tuple[str, bool], PartMask] = {}

    def of(self, names: Sequence[str], expected: frozenset[str]) -> dict[str, PartMask]:
        """Return the masks of these parts; new ones are compiled side by side."""
        keys = {name: (name, name in expected) for name in names}
        new = {
            n: self.writer.lark(n, expected) for n, key in keys.items() if key not in self._parts
        }
        with ThreadPoolExecutor(CORES) as pool:
            made = pool.map(partial(PartMask, self.vocabulary), new.keys(), new.values())
            self._parts.update({keys[name]: part for name, part in zip(new, made, strict=True)})
        return {name: self._parts[key] for name, key in keys.items()}


class Masks:
    """The masks of one state of the dialogue.

    Args:
        live, expected: what is listened for.
        most_others: how many words outside the grammar a text may have.
    """

    def __init__(
        self,
        parts: PartMasks,
        live: Live,
        expected: frozenset[str],
        most_others: int = MOST_OTHERS,
    ) -> None:
        self.live, self.most_others = live, most_others
        self.filler, self.most_fillers = FILLER, MOST_FILLERS
        if most_others:
            self.filler, self.most_fillers = HARMLESS, MOST_SMALL_WORDS
        names = (*parts.writer.slots(expected), self.filler, WAKE, START)
        self.parts: dict[str, PartMask | OtherMask] = {
            **parts.of(names, expected),
            OTHER: parts.other,
        }
        self.slots = parts.writer.slots(expected)
        pieces = parts.vocabulary.pieces
        self.pauses = frozenset(n for n, piece in enumerate(pieces) if piece in PUNCTUATION)
        self._size = len(pieces) // 8
        self._allowed: OrderedDict[State, Bits] = OrderedDict()
        self._next: OrderedDict[tuple[State, int], State] = OrderedDict()
        self._openings: OrderedDict[Place, tuple[Bits, list[tuple[str, Bits]]]] = OrderedDict()
        self.first: State = frozenset({Place(frozenset(), 0, 0, "", ())})

    def allowed(self, state: State) -> NDArray[np.intp]:
        """Return the numbers of the subwords that may follow; END among them at an end."""
        known = self._allowed.get(state)
        if known is None:
            known = np.zeros(self._size, np.uint8)
            ends = False
            for place in state:
                known, ends = self._add(place, known, ends=ends)
            if ends:
                known[END >> 3] |= np.uint8(1 << (END & 7))
            self._allowed[state] = known
            _trim(self._allowed)
        return np.flatnonzero(np.unpackbits(known, bitorder="little"))

    def _add(self, place: Place, bits: Bits, *, ends: bool) -> tuple[Bits, bool]:
        if place.part:
            mask, whole = self.parts[place.part].after(place.tokens)
            bits = bits | mask
            if not whole:
                return bits, ends
            for pause in self.pauses:
                bits[pause >> 3] |= np.uint8(1 << (pause & 7))
        between = self._between(place)
        return bits | self._opening(between)[0], ends or bool(between.used)

    def _between(self, place: Place) -> Place:
        """Return the place between parts that follows a whole part."""
        if not place.part:
            return place
        if place.part == self.filler:
            return place._replace(fillers=place.fillers + 1, part="", tokens=())
        if place.part == OTHER:
            return place._replace(part="", tokens=())
        used = "action" if place.part == START else place.part
        return place._replace(used=place.used | {used}, part="", tokens=())

    def _opening(self, between: Place) -> tuple[Bits, list[tuple[str, Bits]]]:
        known = self._openings.get(between)
        if known is None:
            pairs = [(name, self.parts[name].after(())[0]) for name in self._may_start(between)]
            total = np.zeros(self._size, np.uint8)
            for _, bits in pairs:
                total |= bits
            known = self._openings[between] = (total, pairs)
            _trim(self._openings, MOST_OPENINGS)
        return known

    def _may_start(self, between: Place) -> list[str]:
        if not between.used and self.live == "idle":
            return [WAKE, START]
        names = [slot for slot in self.slots if slot not in between.used]
        if not between.used and not between.fillers:
            names.append(WAKE)
        if between.fillers < self.most_fillers:
            names.append(self.filler)
        if between.others < self.most_others:
            names.append(OTHER)
        return names

    def after(self, state: State, token: int) -> State:
        """Return the state after one more subword, which must be allowed."""
        key = (state, token)
        known = self._next.get(key)
        if known is None:
            at, bit = token >> 3, token & 7
            places: set[Place] = set()
            for place in state:
                places.update(self._advance(place, token, at, bit))
            known = self._next[key] = frozenset(places)
            _trim(self._next)
        return known

    def _advance(self, place: Place, token: int, at: int, bit: int) -> list[Place]:
        found = []
        if place.part:
            mask, whole = self.parts[place.part].after(place.tokens)
            if mask[at] >> bit & 1:
                longer = (*place.tokens, token) if place.part != OTHER else (token,)
                found.append(place._replace(tokens=longer))
            if not whole:
                return found
            if token in self.pauses:
                return [*found, self._between(place)]
        between = self._between(place)
        for name, bits in self._opening(between)[1]:
            if bits[at] >> bit & 1:
                others = between.others + (name == OTHER)
                found.append(between._replace(others=others, part=name, tokens=(token,)))
        return found


def others(state: State) -> int:
    """Return how many words of the text no grammar lists, in its best reading."""
    return min((place.others for place in state), default=0)


def _trim(table: OrderedDict[Any, Any], most: int = MOST_REMEMBERED) -> None:
    while len(table) > most:
        table.popitem(last=False)
