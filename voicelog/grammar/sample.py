"""Sentences the grammar can generate, with their meaning, for tests and phrase lists."""

from collections.abc import Iterable, Sequence
from random import Random

from voicelog.entries import SlotValue
from voicelog.grammar.network import converted
from voicelog.grammar.numbers import Numbers, Trie
from voicelog.grammar.phrases import NAME, NO_SLOT, TEXT, Phrase
from voicelog.grammar.template import Alt, Hole, Node, Seq, Word

MOST_WAYS = 400


def one(phrase: Phrase, numbers: Numbers, rng: Random) -> tuple[str, SlotValue]:
    """Return one way to say ``phrase`` and the value it then has."""
    filling, value = "", phrase.fixed
    if phrase.spec is not None and phrase.spec.number is not None and phrase.hole:
        filling, number = _walk(numbers.trie(phrase.spec.number), rng)
        value = converted(number, phrase.spec)
    elif phrase.values:
        chosen, tree = rng.choice(phrase.values)
        filling = " ".join(_say(tree, rng))
        value = chosen if value is None else value
    words = [filling if word == "{}" else word for word in _say(phrase.tree, rng)]
    return " ".join(words), value if value is not None else ""


def sentence(
    phrases: Sequence[Phrase], numbers: Numbers, rng: Random, most: int = 4
) -> tuple[str, dict[str, SlotValue]]:
    """Return a sentence of up to ``most`` phrases, each of another slot, and its meaning."""
    usable = [p for p in phrases if p.slot not in NO_SLOT and p.hole not in (TEXT, NAME)]
    usable = [p for p in usable if not p.asked and not (p.spec and p.spec.hangs)]
    slots = sorted({phrase.slot for phrase in usable})
    said, meaning = [], {}
    for slot in rng.sample(slots, rng.randint(1, most)):
        phrase = rng.choice([p for p in usable if p.slot == slot])
        words, value = one(phrase, numbers, rng)
        said.append(words)
        meaning[slot] = value
    return ", ".join(said), meaning


def _say(node: Node, rng: Random) -> list[str]:
    if isinstance(node, Word):
        return [node.text]
    if isinstance(node, Hole):
        return ["{}"]
    if isinstance(node, Alt):
        return _say(rng.choice(node.options), rng)
    return [word for part in node.parts for word in _say(part, rng)]


def _walk(node: Trie, rng: Random) -> tuple[str, float]:
    words: list[str] = []
    while True:
        if node.values and (not node.children or rng.random() < 0.5):
            return " ".join(words), node.values[0]
        word = rng.choice(sorted(node.children))
        words.append(word)
        node = node.children[word]


def every_word(phrases: Iterable[Phrase], numbers: Numbers) -> frozenset[str]:
    """Return all words that can be spoken, for an engine with a word list."""
    found: set[str] = set()
    for phrase in phrases:
        found |= phrase.words
        if phrase.spec is not None and phrase.spec.number is not None and phrase.hole:
            found |= _words(numbers.trie(phrase.spec.number))
    return frozenset(found)


def _words(node: Trie) -> set[str]:
    found = set(node.children)
    return found.union(*(_words(child) for child in node.children.values()))


def every_way(node: Node, most: int = MOST_WAYS) -> list[str]:
    """Return up to ``most`` ways to say a tree without holes."""
    ways = [""]
    if isinstance(node, Word):
        return [node.text]
    if isinstance(node, Alt):
        return list(dict.fromkeys(w for o in node.options for w in every_way(o, most)))[:most]
    if isinstance(node, Seq):
        for part in node.parts:
            more = every_way(part, most)
            ways = [f"{way} {extra}".strip() for way in ways for extra in more][:most]
        return ways
    return []
