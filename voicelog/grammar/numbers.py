"""Spoken numbers: the words of a language, and every value they can stand for.

Numbers are enumerated from the shapes in ``_numbers.yaml`` and cut to the range
of one instrument, so that the decoder's mask and the parser share one list and
nothing is ever matched by likeness.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import chain

from voicelog.grammar.spec import NumbersFile, NumberShape, NumberSpec

POINT = "."
ANY = NumberSpec.model_validate({"from": 0, "to": 9999})
WRITTEN = re.compile(r"\d+(\.\d+)?")
TENS_AND_ONES = 2
"""Figures of "26"."""
Spoken = tuple[str, ...]
Saying = tuple[Spoken, int]
"""Words, and their value in thousandths: whole arithmetic, so that 38.2 is 38.2."""


@dataclass(slots=True)
class Trie:
    """Word sequences with the values they may mean."""

    children: dict[str, "Trie"] = field(default_factory=dict)
    values: tuple[float, ...] = ()

    def add(self, words: Spoken, value: float) -> None:
        """Add one way to say ``value``."""
        node = self
        for word in words:
            node = node.children.setdefault(word, Trie())
        if value not in node.values:
            node.values = (*node.values, value)


class Numbers:
    """The numbers of one language."""

    def __init__(self, file: NumbersFile) -> None:
        self.file = file
        self.trie = lru_cache(maxsize=None)(self._trie)

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word that occurs in a number shape, also "a", "and", "point"."""
        shapes = [shape for group in self.file.whole.values() for shape in group]
        found = {word for words in self.file.classes.values() for word in words}
        for shape in (*shapes, *self.file.decimal):
            found.update(part for part in shape.say.split() if not part.startswith("{"))
        return frozenset(found)

    @cached_property
    def counting(self) -> frozenset[str]:
        """The words that by themselves name a number: "seven", "fifty", "half"."""
        named = {word for words in self.file.classes.values() for word in words}
        return frozenset(named | set(self.file.scales)) - frozenset(self.file.doubtful)

    def goes_on(self, word: str) -> bool:
        """Tell whether a number that ends in ``word`` may be longer: "ninety", "100", "point"."""
        if word.isdigit():
            return int(word) >= 20 and word.endswith("0")
        value = self._worth.get(word)
        if value is None or word in self.file.scales:
            return word in self.words
        return value >= 20 and value % 10 == 0

    @cached_property
    def _worth(self) -> dict[str, int]:
        """Value of each word that by itself is a number."""
        classes = self.file.classes.values()
        return {word: value for words in classes for word, value in words.items()}

    @cached_property
    def spoken_digit(self) -> dict[str, tuple[str, ...]]:
        """Written form of each number word: "9" to ("nine",), "90" to ("ninety",)."""
        table: dict[str, tuple[str, ...]] = {}
        for words in self.file.classes.values():
            for word, value in words.items():
                known = table.get(str(value), ())
                if word not in known:
                    table[str(value)] = (*known, word)
        return table

    @cached_property
    def whole(self) -> dict[str, tuple[Saying, ...]]:
        """Every way to say a whole number by group, with its value in thousandths."""
        groups = self._classes()
        for name, shapes in self.file.whole.items():
            groups[name] = [item for shape in shapes for item in _expand(shape, groups)]
        return {name: tuple(groups[name]) for name in self.file.whole}

    def _classes(self) -> dict[str, list[Saying]]:
        return {
            name: [((word,), 1000 * value) for word, value in words.items()]
            for name, words in self.file.classes.items()
        }

    def _trie(self, spec: NumberSpec) -> Trie:
        root = Trie()
        low, high, step = round(1000 * spec.low), round(1000 * spec.high), 10 ** (3 - spec.decimals)
        for words, thousandths in self._sayings(spec, low, high):
            if low <= thousandths <= high and thousandths % step == 0:
                root.add(words, _plain(thousandths))
        return root

    def _sayings(self, spec: NumberSpec, low: int, high: int) -> Iterator[Saying]:
        kept = (group for name, group in self.whole.items() if name not in spec.without)
        sayings = dict.fromkeys(chain.from_iterable(kept))
        whole = [item for item in sayings if low - 1000 <= item[1] <= high]
        if spec.whole:
            yield from whole
        if spec.decimals:
            groups = {**self._classes(), "int": whole}
            finest = 10**-spec.decimals - 1e-9
            for shape in self.file.decimal:
                if all(weight >= finest for weight in shape.weights):
                    yield from _expand(shape, groups)

    def written(self, token: str, spec: NumberSpec) -> float | None:
        """Return the value of a number in figures, or None where ``spec`` has no such value."""
        if not WRITTEN.fullmatch(token):
            return None
        whole, _, part = token.partition(".")
        part = part.rstrip("0")
        if len(part) > spec.decimals or not spec.low <= float(token) <= spec.high:
            return None
        if not part:
            return int(whole) if spec.whole else None
        return float(token)

    def _pointed(self, tokens: list[str], at: int) -> str | None:
        """Return "38.2" for the tokens "38", "point" and "2" or "two"."""
        part = tokens[at : at + 3]
        if len(part) < 3 or part[1] not in self.file.point:
            return None
        digits = part[2] if part[2].isdigit() else self._digit.get(part[2])
        return f"{part[0]}.{digits}" if part[0].isdigit() and digits else None

    @cached_property
    def _digit(self) -> dict[str, str]:
        """Figure of each word for a single digit."""
        return {word: str(value) for word, value in self._worth.items() if value < 10}

    def read(self, tokens: list[str], at: int, spec: NumberSpec) -> list[tuple[int, float]]:
        """Return every (end, value) that can be read from ``tokens[at:]``.

        Figures count as a whole number on their own and as the words they stand
        for, since recognisers write "1 10" for "one ten".  Words that hedge ("about")
        are read with the number; "thirty something" is no number.
        """
        if not self.opens(tokens[at]):
            return []
        at = self._past_hedges(tokens, at)
        if at >= len(tokens):
            return []
        found = self._read(tokens, at, spec)
        return [way for way in found if tokens[way[0] : way[0] + 1] not in self._vague]

    def figured(self, tokens: list[str]) -> list[str]:
        """Return ``tokens`` with the numbers in figures, however they were written.

        "one ten", "1 10" and "110" are all "110"; a decimal is two numbers, and the nought
        before its point is none: "nought point five" and "0.5" are both "5".
        """
        parts: list[str] = []
        for token in tokens:
            whole, point, part = token.partition(POINT)
            decimal = bool(point) and whole.isdigit()
            parts += [whole, POINT, part.rstrip("0") or "0"] if decimal else [token]
        parts = [POINT if part in self.file.point else part for part in parts]
        found: list[str] = []
        at = 0
        while at < len(parts):
            ways = self.read(parts, at, ANY)
            end, value = max(ways, key=lambda way: way[0], default=(at + 1, None))
            if value is None and parts[at] != POINT:
                found.append(parts[at])
            elif value is not None and (value or parts[end : end + 1] != [POINT]):
                found.append(f"{value:g}")
            at = end
        return found

    def opens(self, word: str) -> bool:
        """Tell whether a number may begin with ``word``."""
        return word in self._beginnings or word[0].isdigit()

    @cached_property
    def _beginnings(self) -> frozenset[str]:
        """Every word a number or a hedge can begin with."""
        return self.words | {hedge[0] for hedge in self._hedges}

    @cached_property
    def _vague(self) -> tuple[list[str], ...]:
        return tuple([word] for word in self.file.vague)

    @cached_property
    def _hedges(self) -> list[list[str]]:
        return [hedge.split() for hedge in self.file.hedges]

    def _past_hedges(self, tokens: list[str], at: int) -> int:
        lengths = (len(hedge) for hedge in self._hedges if tokens[at : at + len(hedge)] == hedge)
        longest = max(lengths, default=0)
        return self._past_hedges(tokens, at + longest) if longest else at

    def _read(self, tokens: list[str], at: int, spec: NumberSpec) -> list[tuple[int, float]]:
        found: list[tuple[int, float]] = []
        value = self.written(tokens[at], spec)
        if value is not None:
            found.append((at + 1, value))
        joined = self._pointed(tokens, at)
        if joined is not None:
            pointed = self.written(joined, spec)
            return [(at + 3, pointed)] if pointed is not None else []
        ways = [(self.trie(spec), at)]
        while ways:
            node, here = ways.pop()
            if here > at + 1 or (here > at and value is None):
                found.extend((here, reading) for reading in node.values)
            if here < len(tokens):
                ways += [(child, here + 1) for child in self._below(node, tokens[here])]
        return list(dict.fromkeys(found))

    def _below(self, node: Trie, token: str) -> list[Trie]:
        """Return what follows ``token``, a word or figures: "26" is also "twenty six"."""
        found = [node.children.get(word) for word in (token, *self.spoken_digit.get(token, ()))]
        if len(token) == TENS_AND_ONES and token.isdigit():
            for tens in self.spoken_digit.get(f"{token[0]}0", ()):
                above = node.children.get(tens)
                ones = self.spoken_digit.get(token[1], ()) if above else ()
                found += [above.children.get(word) for word in ones if above]
        return [child for child in found if child is not None]


def _expand(shape: NumberShape, groups: dict[str, list[Saying]]) -> list[Saying]:
    weights = iter(shape.weights)
    found: list[Saying] = [((), round(1000 * shape.plus))]
    for part in shape.say.split():
        group = part[1:-1] if part.startswith("{") else ""
        pool = _weighted(groups[group], next(weights)) if group else [((part,), 0)]
        found = [(said + words, total + worth) for said, total in found for words, worth in pool]
    return found


def _weighted(pool: list[Saying], weight: float) -> list[Saying]:
    return [(words, round(value * weight)) for words, value in pool]


def _plain(thousandths: int) -> float:
    return thousandths // 1000 if thousandths % 1000 == 0 else thousandths / 1000
