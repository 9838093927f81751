"""Stored values turned into sentences.

The words come from :class:`~voicelog.dialogue.replies.Replies`; here is only
how they are put together.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from voicelog.dialogue.numerals import figures
from voicelog.dialogue.replies import Replies, SlotWords
from voicelog.dialogue.template import Template, sentence
from voicelog.entries import Slots, SlotValue

LONGEST_LIST = 4


@dataclass(frozen=True)
class Phrasing:
    """One language's way to say values."""

    replies: Replies

    def slot(self, name: str) -> SlotWords:
        """Return the words of a slot; one the file does not know is called by its name."""
        return self.replies.slots.get(name) or SlotWords(name=_plain(name))

    def number(self, value: float, style: str = "plain") -> str:
        """Return a number in words."""
        return self.replies.numerals.say(value, style)

    def value(self, slot: str, value: SlotValue) -> str:
        """Return a value by itself: "fifty", "yellow"."""
        words = self.slot(slot)
        if isinstance(value, str):
            return words.words.get(value, _plain(value))
        return self.number(value, words.numbers)

    def phrase(self, slot: str, value: SlotValue) -> str:
        """Return a value as it is read back: "pressure fifty", "three drops"."""
        words = self.slot(slot)
        special = words.values.get(_key(value))
        if special is not None:
            return special
        template = words.says or self.replies.slot
        return template.say.format(
            value=self.value(slot, value), unit=self.unit(words, value), name=words.name
        )

    def unit(self, words: SlotWords, value: SlotValue) -> str:
        """Return the unit in the plural form that ``value`` takes."""
        for category, numbers in self.replies.plural.items():
            if value in numbers and category in words.unit:
                return words.unit[category]
        return words.unit.get("other", "")

    def list_(self, phrases: Sequence[str], joint: Template | None = None) -> str:
        """Join phrases; a long list becomes several sentences, the last without its end."""
        joint = joint or self.replies.parts.comma
        sentences = []
        for start in range(0, len(phrases), LONGEST_LIST):
            first, *others = phrases[start : start + LONGEST_LIST]
            text = first
            for other in others:
                text = joint.say.format(first=text, rest=other)
            sentences.append(sentence(text) if start else text)
        return f"{self.replies.parts.end} ".join(sentences)

    def listing(self, slots: Slots, was: Slots | None = None, before: Iterable[str] = ()) -> str:
        """Return all values in the order of a read-back: "Two passes, white, thick"."""
        was = was or {}
        order = {slot: place for place, slot in enumerate(self.replies.order)}
        names = sorted(slots, key=lambda slot: order.get(slot, len(order)))
        phrases = [*before, *(self._item(slot, slots[slot], was.get(slot)) for slot in names)]
        return self.list_(phrases) if phrases else ""

    def _item(self, slot: str, value: SlotValue, old: SlotValue | None) -> str:
        phrase = self.phrase(slot, value)
        if old is None or old == value:
            return phrase
        return self.replies.parts.changed.say.format(new=phrase, old=self.value(slot, old))

    def either(self, options: Sequence[str]) -> str:
        """Return alternatives: "Fifteen, or fifty"."""
        return self.list_(options, self.replies.parts.either)

    def candidates(self, candidates: Sequence[Slots]) -> list[str]:
        """Return how each candidate is named: the value alone where the slot is shared."""
        parts = differing(candidates)
        shared = (
            len(parts) > 1
            and len({tuple(sorted(part)) for part in parts}) == 1
            and len(parts[0]) == 1
        )
        if shared and "action" not in parts[0]:
            return [self.value(slot, value) for part in parts for slot, value in part.items()]
        return [
            self.list_([self._named(slot, value) for slot, value in part.items()]) for part in parts
        ]

    def _named(self, slot: str, value: SlotValue) -> str:
        return self.action(str(value)) if slot == "action" else self.phrase(slot, value)

    def action(self, name: str) -> str:
        """Return the name of an action."""
        return self.replies.actions.get(name, _plain(name))

    def clock(self, now: datetime) -> str:
        """Return the time of day."""
        return now.strftime(self.replies.parts.clock)

    def minutes(self, minutes: int) -> str:
        """Return a span in minutes."""
        one = minutes in self.replies.plural.get("one", ())
        template = self.replies.parts.minute if one else self.replies.parts.minutes
        return template.say.format(value=self.number(minutes))

    def phone(self, number: str) -> str:
        """Return a telephone number digit by digit, so that no voice reads it as a sum."""
        groups = re.findall(r"\d+", number)
        return self.list_([" ".join(group) for group in groups]) if groups else number


def differing(candidates: Sequence[Slots]) -> list[Slots]:
    """Return what is left of each candidate without the values that all share."""
    shared = {
        slot: value
        for slot, value in (candidates[0] if candidates else {}).items()
        if all(other.get(slot) == value for other in candidates)
    }
    parts = [
        {slot: value for slot, value in candidate.items() if slot not in shared}
        for candidate in candidates
    ]
    # One that is wholly part of another would be left without a name.
    return parts if all(parts) else list(candidates)


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _key(value: SlotValue) -> str:
    return value if isinstance(value, str) else figures(value)
