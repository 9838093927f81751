"""What a Vosk model cannot hear of the grammar, and what to say instead."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain

from voicelog.entries import SlotValue
from voicelog.errors import VoicelogError
from voicelog.grammar import Grammar
from voicelog.grammar.phrases import NAME, Phrase
from voicelog.grammar.template import Alt, Hole, Node, Seq, Word, fill
from voicelog.recognition.vosk_words import ModelWords

MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Unheard:
    """A word that the model does not know.

    Args:
        word: the word.
        instead: words with the same meaning that it knows, or "" where there are none.
        lost: what can no longer be said at all ("thickness plug"), or "".
    """

    word: str
    instead: str
    lost: str = ""

    def __str__(self) -> str:
        if self.lost:
            return f"'{self.word}' ({self.lost})"
        say = f": say '{self.instead}' instead" if self.instead else ""
        return f"'{self.word}' is not a word of the speech model{say}."


class VoskWordsMissingError(VoicelogError, LookupError):
    """Something cannot be said at all, because the model knows none of its words."""

    def __init__(self, unheard: Iterable[Unheard], language: str) -> None:
        named = [str(word) for word in unheard]
        more = f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
        super().__init__(
            f"The speech model does not know {', '.join(named[:MOST_NAMED])}{more}: add a word it "
            f"knows with the same meaning to grammars/{language}, or use another model."
        )


def check(grammar: Grammar, words: ModelWords) -> tuple[Unheard, ...]:
    """Return the words that will not be heard; all that they say can be said in another way.

    Raises:
        VoskWordsMissingError: something cannot be said at all.

    """
    found: dict[str, Unheard] = {}
    for (slot, value), trees in _meanings(grammar.phrases).items():
        heard = [tree for tree in map(words.prune, trees) if tree is not None]
        other = _text(heard[0]) if heard else ""
        lost = "" if heard else f"{slot} {value}".strip()
        for word, instead in chain.from_iterable(_gaps(tree, words, other) for tree in trees):
            if lost or word not in found or not found[word].instead:
                found.setdefault(word, Unheard(word, instead, lost))
                if lost:
                    found[word] = Unheard(word, instead, lost)
    found |= _numbers(grammar, words)
    unsayable = [word for word in found.values() if word.lost]
    if unsayable:
        raise VoskWordsMissingError(unsayable, grammar.spec.language.language)
    return tuple(found.values())


def _meanings(phrases: Iterable[Phrase]) -> dict[tuple[str, SlotValue], list[Node]]:
    """Return all that can be stored with the ways to say it; all numbers count as one value."""
    table: dict[tuple[str, SlotValue], list[Node]] = {}
    for phrase in phrases:
        if phrase.fixed is not None:
            table.setdefault((phrase.slot, phrase.fixed), []).append(phrase.tree)
        elif phrase.values and phrase.hole != NAME:
            for value, tree in phrase.values:
                table.setdefault((phrase.slot, value), []).append(fill(phrase.tree, tree))
        elif phrase.hole != NAME:
            table.setdefault((phrase.slot, ""), []).append(phrase.tree)
    return table


def _numbers(grammar: Grammar, words: ModelWords) -> dict[str, Unheard]:
    """A number word needs another with the same worth in its class."""
    found: dict[str, Unheard] = {}
    for members in grammar.spec.numbers.classes.values():
        for word, worth in members.items():
            if not words.spell(word):
                same = [w for w, n in members.items() if n == worth and words.spell(w)]
                found[word] = Unheard(
                    word, "".join(same[:1]), "" if same else f"the number {worth}"
                )
    return found


def _gaps(node: Node, words: ModelWords, instead: str) -> Iterator[tuple[str, str]]:
    """Yield each unknown word with what can be said in its place."""
    if isinstance(node, Word):
        if not words.spell(node.text):
            yield node.text, instead
    elif isinstance(node, Seq):
        for part in node.parts:
            yield from _gaps(part, words, instead)
    elif isinstance(node, Alt):
        kept = [option for option in map(words.prune, node.options) if option is not None]
        beside = next(filter(None, map(_text, kept)), instead)
        for option in node.options:
            yield from _gaps(option, words, beside)


def _text(node: Node) -> str:
    """Return the first way to say ``node``, its hole as dots."""
    if isinstance(node, Word | Hole):
        return node.text if isinstance(node, Word) else "..."
    if isinstance(node, Alt):
        return _text(node.options[0])
    return " ".join(filter(None, map(_text, node.parts)))
