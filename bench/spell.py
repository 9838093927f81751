"""Digits in a transcript -> words, so that a free transcript can be parsed at all."""

import re

# fmt: off
_UNITS = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
    "nineteen",
]
_TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
# fmt: on


def integer(n: int) -> str:
    """English words of 0..9999."""
    if n < 20:
        return _UNITS[n]
    if n < 100:
        return _TENS[n // 10] + (f" {_UNITS[n % 10]}" if n % 10 else "")
    size, word = (100, "hundred") if n < 1000 else (1000, "thousand")
    rest = f" {integer(n % size)}" if n % size else ""
    return f"{integer(n // size)} {word}{rest}"


def _number(found: re.Match[str]) -> str:
    whole, _, decimals = found[0].partition(".")
    words = integer(int(whole)) if len(whole) < 5 else " ".join(_UNITS[int(d)] for d in whole)
    if decimals:
        words += " point " + " ".join(_UNITS[int(d)] for d in decimals)
    return f" {words} "


def spell(text: str) -> str:
    """Lower-case words only: ``"Sats 94%, 1.5"`` -> ``"sats ninety four percent, one point five"``.

    Commas and full stops stay as commas, since the grammar may read them as pauses.
    """
    text = text.lower().replace("%", " percent").replace("°", " degrees ")
    text = re.sub(r"(?<=\d),(?=\d{3})", "", text)
    text = re.sub(r"(?<=\d):(?=\d)", " ", text)  # "1:10" was said "one ten"
    text = re.sub(r"(\d)(?:st|nd|rd|th)\b", r"\1", text)
    text = re.sub(r"\d+(?:\.\d+)?", _number, text)
    text = re.sub(r"[.;:?!]+(?:\s|$)", ", ", text)
    text = re.sub(r"[^a-z', ]+", " ", text)
    return re.sub(r"\s+,", ",", " ".join(text.split())).strip(" ,")
