"""The phrases of a language with their trees, ready for the parser and the mask."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from voicelog.entries import SlotValue
from voicelog.grammar import template
from voicelog.grammar.spec import GrammarBrokenError, LanguageSpec, PhraseSpec, SlotFile
from voicelog.grammar.template import Hole, Node, TemplateError

WAKE, ASIDE = "wake", "aside"
NO_SLOT = frozenset({WAKE, ASIDE})
"""Phrases under these names fill nothing."""
NAME, TEXT = "{name}", "{text}"


@dataclass(frozen=True, slots=True)
class Phrase:
    """One phrase template of one slot.

    Args:
        slot: the slot it fills.
        tree: its words; a hole's name is ``hole``.
        hole: key of what fills the hole ("" for none): a number range, a value
            list, "text" or "name".
        values: for a value list, each value and the tree of one way to say it.
        fixed: the value where there is no hole.
        asked: counts only when the dialogue asked for the slot.
    """

    slot: str
    tree: Node
    hole: str
    values: tuple[tuple[SlotValue, Node], ...]
    fixed: SlotValue | None
    spec: PhraseSpec | None
    asked: bool

    @property
    def words(self) -> frozenset[str]:
        """Every word of the phrase and of its values."""
        found = template.words(self.tree)
        return found.union(*(template.words(tree) for _, tree in self.values))


def phrases_of(spec: LanguageSpec, names: Iterable[str]) -> tuple[Phrase, ...]:
    """Return every phrase of the language, the wake phrase and asides among them.

    Raises:
        GrammarBrokenError: a phrase that cannot be read.
    """
    called = tuple((name, template.parse(name.lower(), {})) for name in names)
    found: list[Phrase] = []
    of_language, *of_slots = spec.files
    with _named(of_language, spec):
        found += _of_language(spec)
    for file, place in zip(spec.slots, of_slots, strict=True):
        with _named(place, spec):
            found += _of_file(file, spec, called)
    return tuple(found)


@contextmanager
def _named(place: Path, spec: LanguageSpec) -> Iterator[None]:
    """Name the file of a phrase that cannot be read; a rule stands in the language's own."""
    try:
        yield
    except TemplateError as error:
        if error.template in spec.language.rules.values():
            place = spec.files[0]
        why = f"the phrase '{error.template}' cannot be read ({error.why})"
        raise GrammarBrokenError(place, why) from error


def _of_language(spec: LanguageSpec) -> Iterator[Phrase]:
    wake = (
        Phrase(WAKE, template.parse(say, spec.language.rules), "", (), WAKE, None, asked=False)
        for say in spec.language.wake
    )
    aside = (
        Phrase(ASIDE, template.parse(say, spec.language.rules), "", (), ASIDE, None, asked=False)
        for say in spec.language.asides
    )
    return chain(wake, aside)


def _of_file(
    file: SlotFile, spec: LanguageSpec, called: tuple[tuple[SlotValue, Node], ...]
) -> Iterable[Phrase]:
    rules = spec.language.rules
    listed: tuple[tuple[SlotValue, Node], ...] = tuple(
        (value, template.parse(say, rules)) for value, says in file.values.items() for say in says
    )
    digest = "|".join(file.values)
    for asked, group in ((False, file.phrases), (True, file.asked)):
        for phrase in group:
            for say in phrase.say:
                hole = ""
                values: tuple[tuple[SlotValue, Node], ...] = ()
                if "{n}" in say and phrase.number is not None:
                    hole = phrase.number.key
                elif "{value}" in say:
                    hole, values = f"value {file.slot} {digest}", listed
                elif "{name}" in say:
                    hole, values = NAME, called
                elif "{text}" in say:
                    hole = TEXT
                if hole == NAME and not called:
                    continue
                tree = template.fill(template.parse(say, rules), Hole(hole))
                yield Phrase(file.slot, tree, hole, values, phrase.fixed, phrase, asked)
