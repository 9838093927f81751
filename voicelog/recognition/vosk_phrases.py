"""The phrase list for a Vosk model: what it is told may be said.

The model makes a bigram of the list, so what counts is that every word is in it,
beside the words it may stand next to; the order of a whole phrase is checked by
the parser afterwards.
"""

from collections.abc import Iterator
from itertools import chain
from random import Random

from voicelog.grammar import Grammar
from voicelog.grammar.numbers import Trie
from voicelog.grammar.phrases import TEXT, Phrase
from voicelog.grammar.spec import NumberSpec
from voicelog.grammar.template import Alt, Hole, Node, Word, fill
from voicelog.recognition.vosk_words import ModelWords

MOST_WAYS = 400
"""Listed ways of one template, at most."""
NUMBERS_EACH = 3
"""Numbers that stand in a template for each word that numbers begin with."""
FIGURES = range(10, 100)
UNKNOWN = ("[unk]", "<UNK>", "<unk>", "<SPOKEN_NOISE>", "[noise]")
"""How models call a word they do not know, and a noise."""


def phrase_list(grammar: Grammar, words: ModelWords, expected: frozenset[str]) -> list[str]:
    """Return the sentences that the model may hear, in its own words.

    Fillers and blockers are among them, so that a "not" is heard as one; so is the
    model's word for an unknown word, and for a noise, where it has them.
    """
    rng = Random(0)  # noqa: S311 - a choice of examples, the same at every start
    found: dict[str, None] = {}
    single: set[str] = set()
    for phrase in grammar.phrases:
        if phrase.hole != TEXT and (not phrase.asked or phrase.slot in expected):
            single |= phrase.words
            for way in _ways_of(phrase, grammar, words, rng):
                found[way] = None
    language = grammar.spec.language
    single |= grammar.spec.skipping.words  # with the words that no listed way happened to show
    for sentence in (*language.fillers, *language.blockers, *sorted(single)):
        spelt = [words.spell(word) for word in sentence.split()]
        if all(spelt):
            found[" ".join(chain.from_iterable(spelt))] = None
    return [*found, *filter(words.has, UNKNOWN)]


def _ways_of(phrase: Phrase, grammar: Grammar, words: ModelWords, rng: Random) -> Iterator[str]:
    spec = phrase.spec.number if phrase.spec is not None else None
    tree = phrase.tree
    if phrase.values:
        tree = fill(tree, Alt(tuple(value for _, value in phrase.values)))
    heard = words.prune(tree)
    if heard is None:
        return
    most = min(MOST_WAYS, _choices(heard))
    numbers = _numbers(grammar, spec, words, rng) if phrase.hole and spec else [""]
    for at in range(max(most, len(numbers))):
        way = [
            words.spell(word) if word else (numbers[at % len(numbers)],) for word in _way(heard, at)
        ]
        yield " ".join(filter(None, chain.from_iterable(way)))
    if numbers != [""]:
        yield from numbers


def _choices(node: Node) -> int:
    """Return how many ways ``_way`` needs to show every word."""
    if isinstance(node, Word | Hole):
        return 1
    if isinstance(node, Alt):
        return len(node.options) * max(map(_choices, node.options))
    return max(map(_choices, node.parts), default=1)


def _way(node: Node, at: int) -> list[str]:
    """Return the ``at``-th way to say ``node``; "" stands for the hole."""
    if isinstance(node, Word):
        return [node.text]
    if isinstance(node, Hole):
        return [""]
    if isinstance(node, Alt):
        turns, option = divmod(at, len(node.options))
        return _way(node.options[option], turns)
    return [word for part in node.parts for word in _way(part, at)]


def _numbers(grammar: Grammar, spec: NumberSpec, words: ModelWords, rng: Random) -> list[str]:
    """Return numbers of the instrument: some from each beginning, and figures the model has."""
    root = grammar.numbers.trie(spec)
    said = [
        _walk(root.children[word], [word], rng)
        for word in sorted(root.children)
        for _ in range(NUMBERS_EACH)
    ]
    spelt = [[words.spell(word) for word in number] for number in said]
    found = {" ".join(chain.from_iterable(number)) for number in spelt if all(number)}
    return sorted(found)


def _walk(node: Trie, said: list[str], rng: Random) -> list[str]:
    while node.children and not (node.values and rng.random() < 1 / 3):
        word = rng.choice(sorted(node.children))
        said.append(word)
        node = node.children[word]
    return said
