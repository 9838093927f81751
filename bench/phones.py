"""Text to phonemes through the espeak-ng program, for the neural voices.

``kokoro`` was trained on its authors' own phoneme letters, in which a
diphthong or affricate is one letter; the table follows the espeak fallback
described in the misaki project's README (from memory).
"""

import re
import subprocess
from functools import cache

_COMMON = {
    "a^ɪ": "I",
    "a^ʊ": "W",
    "d^ʒ": "ʤ",
    "e^ɪ": "A",
    "t^ʃ": "ʧ",
    "ɔ^ɪ": "Y",
    "ə^l": "ᵊl",
    "ɚ": "əɹ",
    "ɐ": "ə",
    "r": "ɹ",
    "x": "k",
    "ç": "k",
}
_US = {"o^ʊ": "O", "ɜː": "ɜɹ", "ɪ^ə": "iə", "ɜːɹ": "ɜɹ", "ː": ""}
_GB = {"ə^ʊ": "Q", "e^ə": "ɛː", "iə": "ɪə", "o^ʊ": "Q"}
_PAUSES = re.compile(r"\s*([,;:.?!])\s*")


@cache
def _espeak(text: str, voice: str, tie: bool) -> str:
    command = ["espeak-ng", "-q", "--ipa", "-v", voice]
    if tie:
        command.append("--tie=^")
    done = subprocess.run([*command, "--", text], capture_output=True, text=True, check=True)
    return " ".join(done.stdout.split())


def ipa(text: str, voice: str = "en-us", tie: bool = False) -> str:
    """Phonemes of ``text`` with its commas and stops kept, as ``espeak-ng`` drops them."""
    parts = _PAUSES.split(text.strip())
    said = [p if i % 2 else _espeak(p, voice, tie) for i, p in enumerate(parts) if p]
    return re.sub(r"\s+([,;:.?!])", r"\1", " ".join(said))


def kokoro(text: str, british: bool) -> str:
    """Phonemes of ``text`` in the letters of the Kokoro model."""
    said = ipa(text, "en-gb-x-rp" if british else "en-us", tie=True)
    table = _COMMON | (_GB if british else _US)
    for old in sorted(table, key=len, reverse=True):
        said = said.replace(old, table[old])
    return said.replace("^", "")
