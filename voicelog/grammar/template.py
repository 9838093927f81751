"""The template language of the grammar files, parsed to a small tree.

``[x]`` optional, ``(a|b)`` alternatives, ``<rule>`` reuse, ``{value}`` or
``{n}`` the one value of the phrase.  Words are lower case; a hyphen is a gap.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce

from voicelog.errors import VoicelogError

TOKEN = re.compile(r"[\[\]()|]|<[a-z_0-9]+>|\{[a-z_]+\}|[^\s\[\]()|<>{}]+")


class TemplateError(VoicelogError, ValueError):
    """A phrase in a grammar file cannot be read."""

    def __init__(self, template: str, why: str) -> None:
        super().__init__(f"The phrase '{template}' cannot be read: {why}.")
        self.template, self.why = template, why


@dataclass(frozen=True, slots=True)
class Word:
    """One spoken word."""

    text: str


@dataclass(frozen=True, slots=True)
class Hole:
    """The place of the phrase's value."""

    name: str


@dataclass(frozen=True, slots=True)
class Seq:
    """Parts spoken one after another; empty means nothing is said."""

    parts: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class Alt:
    """One of several."""

    options: tuple["Node", ...]


Node = Word | Hole | Seq | Alt
EMPTY = Seq(())


class _Reader:
    def __init__(self, template: str, rules: Mapping[str, str], seen: tuple[str, ...]) -> None:
        self.template, self.rules, self.seen = template, rules, seen
        self.tokens = TOKEN.findall(template)
        self.at = 0

    def error(self, why: str) -> TemplateError:
        return TemplateError(self.template, why)

    def alternatives(self, closing: str) -> Node:
        options = [self.sequence()]
        while self.at < len(self.tokens) and self.tokens[self.at] == "|":
            self.at += 1
            options.append(self.sequence())
        if closing:
            if self.at >= len(self.tokens) or self.tokens[self.at] != closing:
                raise self.error(f"'{closing}' is missing")
            self.at += 1
        return options[0] if len(options) == 1 else Alt(tuple(options))

    def sequence(self) -> Node:
        parts: list[Node] = []
        while self.at < len(self.tokens) and self.tokens[self.at] not in ("|", ")", "]"):
            token = self.tokens[self.at]
            self.at += 1
            parts.append(self.part(token))
        return parts[0] if len(parts) == 1 else Seq(tuple(parts))

    def part(self, mark: str) -> Node:
        if mark == "(":
            return self.alternatives(")")
        if mark == "[":
            return Alt((EMPTY, self.alternatives("]")))
        if mark.startswith("<"):
            return self.rule(mark[1:-1])
        if mark.startswith("{"):
            return Hole(mark[1:-1])
        words = [Word(piece) for piece in mark.split("-") if piece]
        return words[0] if len(words) == 1 else Seq(tuple(words))

    def rule(self, name: str) -> Node:
        if name in self.seen:
            raise self.error(f"the rule <{name}> uses itself")
        if name not in self.rules:
            raise self.error(f"there is no rule <{name}>")
        return parse(self.rules[name], self.rules, (*self.seen, name))


def parse(template: str, rules: Mapping[str, str], seen: tuple[str, ...] = ()) -> Node:
    """Return the tree of ``template`` with its rules filled in.

    Raises:
        TemplateError: unbalanced brackets, an unknown rule or a rule that uses itself.
    """
    reader = _Reader(template, rules, seen)
    node = reader.alternatives("")
    if reader.at != len(reader.tokens):
        raise reader.error(f"unexpected '{reader.tokens[reader.at]}'")
    return node


def fill(node: Node, value: Node) -> Node:
    """Return ``node`` with every hole replaced by ``value``."""
    if isinstance(node, Hole):
        return value
    if isinstance(node, Seq):
        return Seq(tuple(fill(part, value) for part in node.parts))
    if isinstance(node, Alt):
        return Alt(tuple(fill(option, value) for option in node.options))
    return node


def words(node: Node) -> frozenset[str]:
    """Return every word that can be spoken in ``node``."""
    if isinstance(node, Word):
        return frozenset({node.text})
    if isinstance(node, Hole):
        return frozenset()
    children = node.parts if isinstance(node, Seq) else node.options
    return reduce(frozenset.union, (words(child) for child in children), frozenset())


def needed(node: Node) -> frozenset[str]:
    """Return the words of those parts of ``node`` that cannot be left out."""
    if isinstance(node, Word):
        return frozenset({node.text})
    if isinstance(node, Hole) or can_be_empty(node):
        return frozenset()
    children = node.parts if isinstance(node, Seq) else node.options
    return reduce(frozenset.union, (needed(child) for child in children), frozenset())


def can_be_empty(node: Node) -> bool:
    """Tell whether ``node`` can be spoken as nothing at all."""
    if isinstance(node, Seq):
        return all(can_be_empty(part) for part in node.parts)
    if isinstance(node, Alt):
        return any(can_be_empty(option) for option in node.options)
    return False
