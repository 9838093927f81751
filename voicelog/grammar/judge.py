"""Whether a reading of a sentence may be stored: understood, to be asked, or not for us."""

from collections.abc import Iterable, Sequence
from typing import Literal

from pydantic import Field

from voicelog.entries import Frozen, Slots
from voicelog.grammar.chart import Reading
from voicelog.grammar.context import doubtful
from voicelog.grammar.lexicon import Lexicon, inside, longest
from voicelog.grammar.neighbours import astray, of_something_else
from voicelog.grammar.network import Network
from voicelog.grammar.phrases import ASIDE, WAKE
from voicelog.grammar.read import Read, places, told
from voicelog.grammar.tokens import Words

Outcome = Literal["understood", "ask", "not_understood"]
Live = Literal["idle", "open"]
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
        blocked: a word in it turns it round, puts it in doubt or in another time.
        spelt: its words, numbers in figures however they were written.
        numbers: the numbers among them, in order.
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
    blocked: bool = False
    spelt: tuple[str, ...] = ()
    numbers: tuple[str, ...] = ()
    clear: float = 0.0


class Judge:
    """Decides what may be stored; asking is cheap, a wrong value is not."""

    def __init__(self, network: Network, lexicon: Lexicon) -> None:
        self.network, self.lexicon = network, lexicon

    def judge(self, read: Read, live: Live) -> Parse:
        """Return the meaning of a sentence, and whether it is safe to store."""
        slots, note, woken = meaning(read.top)
        result = Parse(
            outcome="not_understood",
            text=read.text,
            note=note,
            skipped=read.skipped,
            guessed=read.guessed,
            woken=woken,
            spelt=read.spelt,
            numbers=tuple(w for w in read.spelt if w[0].isdigit() or self.lexicon.counts(w)),
            clear=1 - (len(read.skipped) + 0.5 * len(read.guessed)) / len(read.words.words),
        )
        if not self._heard_in(live, read, woken=woken):
            return result
        if self._blocked(read) or self._question(read):
            return result.model_copy(update={"blocked": True})
        if not slots:
            return self._without_slots(read, result)
        return result if self._too_much_left_out(read) else self._weighed(read, result, slots)

    def _weighed(self, read: Read, result: Parse, slots: Slots) -> Parse:
        """Return what to store, or the meanings to ask about."""
        torn = self._torn(read.words)
        rivals = [*_rivals(read.readings), *_joined(read.readings, torn)]
        rivals = rivals or self._second_numbers(read, slots) or self._elsewhere(slots)
        if rivals:
            sure = {k: v for k, v in slots.items() if all(r.get(k) == v for r in rivals)}
            alternatives = tuple(_distinct((slots, *rivals)))
            return result.model_copy(
                update={"outcome": "ask", "slots": sure, "alternatives": alternatives}
            )
        said = told(read.top)
        if said[0].follows or said[-1].leads:  # and no value before it, or after it
            strange = any(not self.lexicon.counts(word) for word in read.skipped)
            return result if strange else result.model_copy(update={"outcome": "ask"})
        unsure = (
            _across(read.top, torn)
            or self._lost_value(read.skipped)
            or self._crowded_out(read, slots)
            or self._shared_number(read)
            or doubtful(self.lexicon, read, slots)
            or (read.strict and self._of_another(read))
        )
        outcome = "ask" if unsure else "understood"
        return result.model_copy(update={"outcome": outcome, "slots": slots})

    def _elsewhere(self, slots: Slots) -> list[Slots]:
        """Return what else is meant if a value is another slot's: a stoma that is red."""
        others = self.lexicon.elsewhere.get(str(slots.get("action", "")), {})
        return [
            {**{k: v for k, v in slots.items() if k != slot}, **instead}
            for slot, values in others.items()
            for value, instead in values.items()
            if slots.get(slot) == value and not instead.keys() & slots.keys()
        ]

    def _second_numbers(self, read: Read, slots: Slots) -> list[Slots]:
        """Return what else is meant where a number was passed over: "was ninety now ninety four".

        None where it could belong to several of the slots.
        """
        words, strange = list(read.words.words), set(read.top.skipped)
        found = [
            {**slots, match.slot: match.value}
            for at in strange
            if at - 1 not in strange and self.lexicon.counts(words[at])
            for match in self.network.match(words, at)
            if match.asked and match.slot in slots and not isinstance(match.value, str)
            if match.end not in strange and slots[match.slot] != match.value
        ]
        return found if len(found) == 1 else []

    def _crowded_out(self, read: Read, slots: Slots) -> bool:
        """Tell of a phrase that is, or begins, one of another slot, which was taken.

        In "coarse on the left, clear on the right" the colour is not clear; in "she's red
        and crying" red may be the child.
        """
        words, breaks = list(read.words.words), read.words.breaks
        if len(slots) < 2:
            return False
        for match in told(read.top):
            for other in self.network.match(words, match.start, breaks):
                taken = slots.get(other.slot, other.value) != other.value
                if (
                    taken
                    and other.slot != match.slot
                    and other.end >= match.end
                    and not other.asked
                ):
                    return True
        return False

    def _shared_number(self, read: Read) -> bool:
        """Tell of a number that as well begins what follows: "on oxygen, one pass".

        Not in "sats ninety five, heart rate one thirty": the heart rate goes on by itself.
        """
        words, breaks, said = list(read.words.words), read.words.breaks, told(read.top)
        numbers = [match for match in said if not isinstance(match.value, str)]
        on = {match.start: match.end for match in said}
        return any(
            other.end > match.end
            and other.end >= on.get(match.end, 0)
            and other.slot != match.slot
            and not isinstance(other.value, str)
            for match in numbers
            for at in range(match.start + 1, match.end)
            if self.lexicon.counts(words[at])
            for other in self.network.match(words, at, breaks)
            if not (other.asked or breaks.intersection(range(at + 1, other.end)))
        )

    def _lost_value(self, skipped: Iterable[str]) -> bool:
        """Tell whether a number was passed over, or a word that alone would be asked about."""
        return any(
            self.lexicon.counts(word) or any(match.asked for match in self.network.match([word], 0))
            for word in skipped
        )

    def _heard_in(self, live: Live, read: Read, *, woken: bool) -> bool:
        top = read.top
        if live != "idle":
            return True
        if not top.matches:
            return False
        first = top.matches[0]
        if woken:
            return first.slot == WAKE
        # "dial one one two" may be the gauge's as well
        even = (one.matches[0] for one in read.readings if one.cost <= top.cost and one.matches)
        starts = any(one.slot == "action" and one.value in self.lexicon.idle_words for one in even)
        return starts and not top.skipped

    def _blocked(self, read: Read) -> bool:
        """Tell whether a word was passed over that may turn the sentence round."""
        covered = places((*read.top.matches, *read.top.clashes))
        words = read.words.words
        return any(
            length > 0 and not covered.issuperset(range(at, at + length))
            for at in range(len(words))
            for length in [longest(self.lexicon.blockers, words, at)]
        )

    def _question(self, read: Read) -> bool:
        """Tell whether a sentence begins like a question; a phrase of ours may do so."""
        words, matches = read.words.words, read.top.matches
        woken = {match.end for match in matches if match.slot == WAKE}
        begins = {self._past_fillers(words, at) for at in {0, *woken}} | read.words.breaks
        starts = begins - places(matches) - {len(words)}
        return any(longest(self.lexicon.questions, words, at) for at in starts)

    def _past_fillers(self, words: Sequence[str], at: int) -> int:
        while at < len(words) and (length := longest(self.lexicon.fillers, words, at)):
            at += length
        return at

    def _torn(self, words: Words) -> frozenset[int]:
        """Return the places where a comma stands between two number words: "one, thirteen"."""
        counts = self.lexicon.counts
        return frozenset(
            at for at in words.breaks if counts(words.words[at - 1]) and counts(words.words[at])
        )

    def _too_much_left_out(self, read: Read) -> bool:
        if read.strict:  # the mask knows no neighbours: those are asked about
            return bool(read.skipped)
        if self._stray_command(read) or self._of_another(read):
            return True
        if any(word in self.lexicon.cues for word in read.skipped):
            return True
        content = [word for word in read.skipped if word not in self.lexicon.counting]
        said = sum(match.end - match.start for match in (*told(read.top), *read.top.clashes))
        return len(content) > MOST_SKIPPED * said

    def _of_another(self, read: Read) -> bool:
        """Tell whether a value belongs to what stands beside it."""
        return of_something_else(self.lexicon, read) or astray(self.lexicon, read)

    def _stray_command(self, read: Read) -> bool:
        """Tell whether a one-word command ("pass") stands among small words: "pass it to"."""
        matches = told(read.top)
        if len(matches) != 1 or read.top.clashes or read.skipped:
            return False
        (match,) = matches
        if match.slot != "action" or match.end - match.start > 1 or match.extra:
            return False
        words = read.words.words
        others = [at for at in range(len(words)) if at != match.start]
        return any(not inside(self.lexicon.fillers, words, at) for at in others)

    def _without_slots(self, read: Read, result: Parse) -> Parse:
        """The wake phrase alone is understood; a bare value ("fifteen") is asked about."""
        if result.woken and not read.skipped:
            return result.model_copy(update={"outcome": "understood"})
        if read.strict:
            return result
        words = read.words.words
        start = max((m.end for m in read.top.matches if m.slot == WAKE), default=0)
        found = (
            match
            for at in range(start, len(words))
            if self._small(words, range(start, at), self.lexicon.harmless)
            for match in self.network.match(list(words), at)
            if match.asked
            and self._small(words, range(match.end, len(words)))
            and not self._small(words, range(at, match.end))
        )
        alternatives = _distinct({match.slot: match.value} for match in found)
        if len(alternatives) < 2:
            return result
        return result.model_copy(update={"outcome": "ask", "alternatives": tuple(alternatives)})

    def _small(
        self, words: Sequence[str], places: Iterable[int], harmless: frozenset[str] = frozenset()
    ) -> bool:
        """Tell whether only fillers and ``harmless`` words stand at these places."""
        fillers = self.lexicon.fillers
        return all(words[at] in harmless or inside(fillers, words, at) for at in places)


def meaning(reading: Reading) -> tuple[Slots, str, bool]:
    """Return a reading's slots, the text of its note, and whether it has the wake phrase."""
    slots = reading.slots
    woken = slots.pop(WAKE, None) is not None
    slots.pop(ASIDE, None)
    note = ""
    for match in reading.matches:
        if match.extra and match.value == "note":
            note = match.extra
        elif match.extra:
            slots["caregiver"] = match.extra
    return slots, note, woken


def _rivals(best: list[Reading]) -> list[Slots]:
    top = best[0]
    found: list[Slots] = [{**meaning(top)[0], clash.slot: clash.value} for clash in top.clashes]
    for other in best[1:]:
        near = other.cost - top.cost <= TIE and len(other.skipped) <= len(top.skipped)
        said = {} if _inside_aside(top, other) else meaning(other)[0]
        if near and said and said != meaning(top)[0]:
            found.append(said)
    return found


def _inside_aside(top: Reading, other: Reading) -> bool:
    """Tell of a command that is part of more words: "pass" in "after the first pass"."""
    asides = [match for match in top.matches if match.slot == ASIDE]
    return any(
        aside.start < match.start and match.end <= aside.end
        for aside in asides
        for match in other.matches
        if match.slot == "action"
    )


def _across(reading: Reading, torn: frozenset[int]) -> bool:
    """Tell whether a phrase runs across one of these places."""
    found = (*reading.matches, *reading.clashes)
    return any(match.start < at < match.end for match in found for at in torn)


def _joined(best: list[Reading], torn: frozenset[int]) -> list[Slots]:
    """Return the other meanings in which numbers that a comma parts are one."""
    top = best[0]
    return [
        meaning(other)[0]
        for other in best[1:]
        if len(other.skipped) <= len(top.skipped)
        and other.slots != top.slots
        and _across(other, torn)
        and not _parts(other, top, torn)
    ]


def _parts(other: Reading, top: Reading, torn: frozenset[int]) -> bool:
    """Tell whether a number across such a place leaves its noun alone: "a hundred, three goes"."""
    crossing = [one for one in other.matches if any(one.start < at < one.end for at in torn)]
    return any(
        told.start < one.end < told.end and told.start in torn
        for one in crossing
        for told in top.matches
    )


def _distinct(tables: Iterable[Slots]) -> list[Slots]:
    kept: list[Slots] = []
    for table in tables:
        if table not in kept:
            kept.append(table)
    return kept
