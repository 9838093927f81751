"""From a written sentence to the plain words that the grammar knows."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

PIECE = re.compile(r"\d+(?:\.\d+)?|[^\W\d_]+(?:['][^\W\d_]+)*\d*|[.,;:!?%°]|½|¼|¾")
BREAKS = frozenset(".,;:!?")
FRACTION = re.compile(r"(?<![\d/])(?:1/2|1/4|3/4)(?![\d/])")
SIGNS = {"1/2": "½", "1/4": "¼", "3/4": "¾"}
ALONE = re.compile(r"(?<!\d)(?<!\d )[½¼¾]")
PARTS = {"½": "0.5", "¼": "0.25", "¾": "0.75"}
SLASH = re.compile(r"(?<=\d)/(?=\d)")
"""No "37/8" is 37.8: two numbers."""
THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}\b)")


@dataclass(frozen=True, slots=True)
class Words:
    """The words of a sentence, and the places where punctuation parts them.

    ``breaks`` holds the index of every word that follows a comma or full stop.
    """

    words: tuple[str, ...]
    breaks: frozenset[int]


def without(words: Words, noise: frozenset[str]) -> Words:
    """Return ``words`` with every word of ``noise`` taken out; a comma beside one stays."""
    kept: list[str] = []
    breaks: set[int] = set()
    for at, word in enumerate(words.words):
        if at in words.breaks:
            breaks.add(len(kept))
        if word not in noise:
            kept.append(word)
    return Words(tuple(kept), frozenset(at for at in breaks if 0 < at < len(kept)))


def split(text: str, spellings: Mapping[str, str] | None = None) -> Words:
    """Split ``text`` into lower-case words; hyphens part words, "38.2" stays whole.

    ``spellings`` maps a word or sign to the words the grammar uses ("%" to "percent").
    """
    plain = text.lower().replace("’", "'").replace("-", " ").replace("–", " ")
    plain = FRACTION.sub(lambda found: SIGNS[found[0]], plain)
    plain = ALONE.sub(lambda found: PARTS[found[0]], plain)
    plain = THOUSANDS.sub("", SLASH.sub(";", plain))
    table = spellings or {}
    words: list[str] = []
    breaks: set[int] = set()
    for piece in PIECE.findall(plain):
        if piece in BREAKS:
            breaks.add(len(words))
        else:
            words.extend(table.get(piece, piece).split())
    return Words(tuple(words), frozenset(at for at in breaks if 0 < at < len(words)))
