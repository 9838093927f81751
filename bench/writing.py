"""How the English model would write a sentence: its letters, its figures, its subwords."""

import re

from bench.spell import integer

BYTES_END = 259
"""Pieces below this are marks and single bytes; above it, in the order they were merged."""


class Pieces:
    """The model's subwords, joined in the order in which they were learned (byte-pair coding)."""

    def __init__(self, pieces: tuple[bytes, ...]) -> None:
        self.number = {piece: n for n, piece in enumerate(pieces) if n >= BYTES_END}
        self.single = {bytes([byte]): byte + 3 for byte in range(256)}

    def cut(self, text: str) -> list[int]:
        """Return the numbers of the subwords that spell ``text``, with a space before it."""
        parts = [letter.encode() for letter in f" {text}"]
        while len(parts) > 1:
            pairs = [
                (self.number[parts[at] + parts[at + 1]], at)
                for at in range(len(parts) - 1)
                if parts[at] + parts[at + 1] in self.number
            ]
            if not pairs:
                break
            _, at = min(pairs)
            parts[at : at + 2] = [parts[at] + parts[at + 1]]
        return [n for part in parts for n in self._numbers(part)]

    def _numbers(self, part: bytes) -> list[int]:
        known = self.number.get(part)
        return [known] if known is not None else [self.single[bytes([b])] for b in part]


_DIGIT = {integer(n): str(n) for n in range(10)} | {"oh": "0", "nought": "0"}
_WHOLE = {integer(n): str(n) for n in range(10, 300)}
_WHOLE |= {words.replace("hundred ", "hundred and "): n for words, n in _WHOLE.items()}
_WHOLE |= {words.replace("one hundred", "a hundred"): n for words, n in _WHOLE.items()}


def _any(words: dict[str, str]) -> str:
    return "|".join(sorted(words, key=len, reverse=True))


_FIGURES = re.compile(
    rf"\b(?:({_any(_WHOLE)})|({_any(_DIGIT)})(?= point\b))"
    rf"(?: point ((?:{_any(_DIGIT)})(?: (?:{_any(_DIGIT)}))*))?\b"
)


def _figure(found: re.Match[str]) -> str:
    whole = _WHOLE[found[1]] if found[1] else _DIGIT[found[2]]
    part = "".join(_DIGIT[word] for word in (found[3] or "").split())
    return f"{whole}.{part}" if part else whole


def figures(text: str) -> str:
    """Return ``text`` with its numbers from ten on, and its decimals, in figures."""
    return _FIGURES.sub(_figure, text).replace(" percent", "%")


def ways_to_write(text: str) -> list[str]:
    """Return the sentence as the model might write it: in words, in figures."""
    text = re.sub(r"\bi\b(?!\.)", "I", text.strip())
    text = text if text[-1] in ".!?" else f"{text.rstrip(',')}."
    return [way[0].upper() + way[1:] for way in dict.fromkeys((text, figures(text)))]
