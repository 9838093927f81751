"""Whether a reading of a sentence may be stored: understood, to be asked, or not for us."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from pydantic import Field

from voicelog.entries import Frozen, Slots
from voicelog.grammar.chart import Reading
from voicelog.grammar.network import Match, Network
from voicelog.grammar.phrases import ASIDE, WAKE
from voicelog.grammar.tokens import Words

Outcome = Literal["understood", "ask", "not_understood"]
Live = Literal["idle", "open"]
BEFORE_UNKNOWN = "before_unknown"
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
        numbers: its number words and figures, in order.
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
    numbers: tuple[str, ...] = ()
    clear: float = 0.0


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Words with a part to play outside phrases.

    ``fillers``, ``blockers`` and ``questions`` map a first word to whole word sequences.
    ``harmless`` words may be skipped; ``cues`` announce a number ("pressure",
    "drops"), so that skipping one means its number was lost.  ``differences`` stand
    before a change ("up one litre"); ``beside`` maps a slot to those whose bare number,
    right beside it, may be about it ("coughed ten seconds"),
    and ``leading`` words may begin such a number.
    """

    fillers: dict[str, tuple[tuple[str, ...], ...]]
    blockers: dict[str, tuple[tuple[str, ...], ...]]
    counting: frozenset[str]
    idle_words: frozenset[str]
    questions: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    of: frozenset[str] = frozenset()
    harmless: frozenset[str] = frozenset()
    cues: frozenset[str] = frozenset()
    differences: frozenset[str] = frozenset()
    beside: dict[str, tuple[str, ...]] = field(default_factory=dict)
    leading: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Read:
    """A sentence and its readings, best first, on the way to a judgement.

    Args:
        text: as it was given.
        words: the same, split, likenesses replaced.
        readings: at least one.
        guessed: words taken for a known word they resemble.
        strict: no unknown word is accepted.
    """

    text: str
    words: Words
    readings: list[Reading]
    guessed: tuple[str, ...] = ()
    strict: bool = False

    @property
    def top(self) -> Reading:
        """The best reading."""
        return self.readings[0]

    @property
    def skipped(self) -> tuple[str, ...]:
        """The words that belong to no phrase."""
        return tuple(self.words.words[at] for at in self.top.skipped)


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
            numbers=tuple(w for w in read.words.words if self._counts(w)),
            clear=1 - (len(read.skipped) + 0.5 * len(read.guessed)) / len(read.words.words),
        )
        if not self._heard_in(live, read.top, woken=woken):
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
        if rivals:
            sure = {k: v for k, v in slots.items() if all(r.get(k) == v for r in rivals)}
            alternatives = tuple(_distinct((slots, *rivals)))
            return result.model_copy(
                update={"outcome": "ask", "slots": sure, "alternatives": alternatives}
            )
        if max(told(read.top), key=lambda match: match.start).leads:  # and no value follows
            strange = any(not self._counts(word) for word in read.skipped)
            return result if strange else result.model_copy(update={"outcome": "ask"})
        unsure = _across(read.top, torn) or self._lost_value(read.skipped)
        outcome = "ask" if unsure else "understood"
        return result.model_copy(update={"outcome": outcome, "slots": slots})

    def _lost_value(self, skipped: Iterable[str]) -> bool:
        """Tell whether a number was passed over, or a word that alone would be asked about."""
        return any(
            self._counts(word) or any(match.asked for match in self.network.match([word], 0))
            for word in skipped
        )

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

    def _blocked(self, read: Read) -> bool:
        """Tell whether a word was passed over that may turn the sentence round."""
        phrases = (*read.top.matches, *read.top.clashes)
        covered = {at for match in phrases for at in range(match.start, match.end)}
        words = read.words.words
        return any(
            length > 0 and not covered.issuperset(range(at, at + length))
            for at in range(len(words))
            for length in [longest(self.lexicon.blockers, words, at)]
        )

    def _question(self, read: Read) -> bool:
        """Tell whether a sentence begins like a question; a phrase of ours may do so."""
        words = read.words.words
        start = 0
        while start < len(words) and (filler := longest(self.lexicon.fillers, words, start)):
            start += filler
        inside = {at for match in read.top.matches for at in range(match.start, match.end)}
        starts = {start, *read.words.breaks} - inside - {len(words)}
        return any(longest(self.lexicon.questions, words, at) for at in starts)

    def _torn(self, words: Words) -> frozenset[int]:
        """Return the places where a comma stands between two number words: "one, thirteen"."""
        counts = self._counts
        return frozenset(
            at for at in words.breaks if counts(words.words[at - 1]) and counts(words.words[at])
        )

    def _too_much_left_out(self, read: Read) -> bool:
        if read.skipped and read.strict:
            return True
        if self._stray_command(read) or self._of_something_else(read) or self._astray(read):
            return True
        if any(word in self.lexicon.cues for word in read.skipped):
            return True
        content = [word for word in read.skipped if word not in self.lexicon.counting]
        said = sum(match.end - match.start for match in (*told(read.top), *read.top.clashes))
        return len(content) > MOST_SKIPPED * said

    def _of_something_else(self, read: Read) -> bool:
        """Tell whether a phrase goes on with a strange word: "mils of calpol", "not much sleep"."""
        words, found = read.words.words, told(read.top)
        measures = self.lexicon.beside.get(BEFORE_UNKNOWN, ())
        strange = set(read.top.skipped) - read.words.breaks
        if any(match.end in strange for match in found if match.slot in measures):
            return True
        ends = {match.end for match in found}
        return any(at - 1 in ends and words[at - 1] in self.lexicon.of for at in read.top.skipped)

    def _astray(self, read: Read) -> bool:
        """Tell whether a number is a difference, or about what stands right beside it."""
        words, breaks = read.words.words, read.words.breaks
        found = told(read.top)
        ends = {match.end: match.slot for match in found}
        starts = {match.start: match.slot for match in found}
        covered = {at for one in read.top.matches for at in range(one.start, one.end)}
        for match in found:
            at = match.start
            if isinstance(match.value, str):
                continue
            close = at > 0 and at not in breaks
            change = close and words[at - 1] in self.lexicon.differences
            if change and at - 1 not in covered and not self._in_filler(words, at - 1):
                return True
            led = at + 1 if words[at] in self.lexicon.leading else at
            if match.end - at > 1 and not self._counts(words[led]):
                continue
            near = [starts.get(match.end)] if match.end not in breaks else []
            if close:
                near += [ends.get(at), "unknown" if at - 1 in read.top.skipped else None]
            if any(match.slot in self.lexicon.beside.get(slot or "", ()) for slot in near):
                return True
        return False

    def _in_filler(self, words: Sequence[str], at: int) -> bool:
        """Tell whether ``words[at]`` is part of a filler of several words ("write down")."""
        single = longest(self.lexicon.fillers, words[at : at + 1], 0) == 1
        return not single and _inside(self.lexicon.fillers, words[: at + 1], at)

    def _counts(self, word: str) -> bool:
        return word in self.lexicon.counting or word[0].isdigit()

    def _stray_command(self, read: Read) -> bool:
        """Tell whether a one-word command ("pass") stands among small words: "pass it to"."""
        matches = told(read.top)
        if len(matches) != 1 or read.top.clashes or read.skipped or read.strict:
            return False
        (match,) = matches
        if match.slot != "action" or match.end - match.start > 1 or match.extra:
            return False
        words = read.words.words
        others = [at for at in range(len(words)) if at != match.start]
        return any(not _inside(self.lexicon.fillers, words, at) for at in others)

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
        return all(words[at] in harmless or _inside(fillers, words, at) for at in places)


def told(reading: Reading) -> tuple[Match, ...]:
    """Return a reading's phrases without asides."""
    return tuple(match for match in reading.matches if match.slot != ASIDE)


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
        said = meaning(other)[0]
        if near and said and said != meaning(top)[0]:
            found.append(said)
    return found


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
    ]


def _distinct(tables: Iterable[Slots]) -> list[Slots]:
    kept: list[Slots] = []
    for table in tables:
        if table not in kept:
            kept.append(table)
    return kept


def longest(table: dict[str, tuple[tuple[str, ...], ...]], words: Sequence[str], at: int) -> int:
    """Return the length of the longest of these sentences that stands at ``words[at]``."""
    options = table.get(words[at], ())
    return max((len(o) for o in options if tuple(words[at : at + len(o)]) == o), default=0)


def _inside(table: dict[str, tuple[tuple[str, ...], ...]], words: Sequence[str], at: int) -> bool:
    return any(at < start + longest(table, words, start) for start in range(at + 1))
