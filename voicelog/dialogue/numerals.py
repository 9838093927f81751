"""Numbers in words, from rules kept with the language.

A rule maps a start value to a template, as in the number spell-out rules of the
Unicode CLDR (rule-based number format): ``<`` stands for how many times the
start value's power of ten fits, ``>`` for what is left, and ``[...]`` is
dropped when nothing is left.  ``20: "twenty[ >]"``, ``100: "< hundred[ >]"``.
"""

import re
from collections.abc import Mapping
from typing import Self

from pydantic import model_validator

from voicelog.entries import Frozen

_OPTIONAL = re.compile(r"\[([^\]]*)\]")


class Numerals(Frozen):
    """How one language says numbers.

    Args:
        styles: name of a style ("plain") to its rules; a language that counts
            things in other words than it measures has more than one.
        point: template of a decimal, with ``{whole}`` and ``{digits}``.
        minus: template of a negative number, with ``{number}``.

    """

    styles: dict[str, dict[int, str]]
    point: str
    minus: str

    @model_validator(mode="after")
    def _ends(self) -> Self:
        for style, rules in self.styles.items():
            missing = [digit for digit in range(10) if digit not in rules]
            if missing:
                raise ValueError(f"the numbers '{style}' have no word for {missing[0]}")
            if any(sign in rules[digit] for digit in range(10) for sign in "<>"):
                raise ValueError(f"the numbers '{style}' do not end: 0 to 9 must be plain words")
        return self

    def say(self, value: float, style: str = "plain") -> str:
        """Return ``value`` in words, with at most two decimals."""
        rules = self.styles[style]
        if value < 0:
            return self.minus.format(number=self.say(-value, style))
        whole, _, decimals = figures(value).partition(".")
        words = _whole(int(whole), rules)
        if not decimals:
            return words
        digits = " ".join(_whole(int(digit), rules) for digit in decimals)
        return self.point.format(whole=words, digits=digits)


def figures(value: float) -> str:
    """Return ``value`` as short figures: 38.0 is "38", 6.5 is "6.5"."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def _whole(number: int, rules: Mapping[int, str]) -> str:
    start = max(base for base in rules if base <= number)
    times, rest = divmod(number, 10 ** (len(str(start)) - 1))
    template = _OPTIONAL.sub(r"\1" if rest else "", rules[start])
    for sign, part in (("<", times), (">", rest)):
        if sign in template:
            template = template.replace(sign, _whole(part, rules))
    return template
