"""Written sentences made fit to be read aloud: numbers, units, times, phone numbers.

What to say is worded elsewhere; here only what a voice might read wrongly is spelt out.
The words are in ``grammars/<language>/_speech.yaml``.
"""

import re
from functools import lru_cache
from typing import Annotated

import yaml
from pydantic import Field, ValidationError

from voicelog import data
from voicelog.dialogue.numerals import Numerals
from voicelog.dialogue.replies import load_replies
from voicelog.dialogue.template import Template, with_
from voicelog.entries import Frozen
from voicelog.errors import VoicelogError
from voicelog.plainyaml import read_yaml

NUMBER = r"\d+(?:,\d{3})*(?:\.\d+)?"
LONG = 7
"""A number with this many digits is a phone number."""


class SpeechWordsBrokenError(VoicelogError, ValueError):
    """``_speech.yaml`` of a language is missing or not valid."""

    def __init__(self, language: str, why: str) -> None:
        super().__init__(
            f"The file '_speech.yaml' of language '{language}' is broken ({why}): "
            "mend it or install again."
        )


class Clock(Frozen):
    """Times of day: on the hour, in its first ten minutes, later."""

    full: Annotated[Template, with_("hour")]
    early: Annotated[Template, with_("hour", "minute")]
    late: Annotated[Template, with_("hour", "minute")]


class SpeechWords(Frozen):
    """How one language is read aloud.

    Args:
        language: what it is for.
        voice: eSpeak's name of the voice.
        units: unit as written after a number, to its spoken forms "one" and "other".
        words: word as written, to the word that is said.
        dial: words before a number that is read digit by digit.
        plus: the sign before a phone number.
        range: two numbers with a dash between.
        clock: times of day.

    """

    language: str
    voice: str
    units: dict[str, dict[str, str]]
    words: dict[str, str] = Field(default_factory=dict)
    dial: tuple[str, ...] = ()
    plus: str
    range: Annotated[Template, with_("low", "high")]
    clock: Clock


@lru_cache(maxsize=4)
def load_words(language: str) -> SpeechWords:
    """Return the words of a language.

    Raises:
        SpeechWordsBrokenError: the file is missing or not valid.

    """
    path = data.folder("grammars") / language / "_speech.yaml"
    try:
        return SpeechWords.model_validate(read_yaml(path))
    except OSError as error:
        raise SpeechWordsBrokenError(language, "it cannot be read") from error
    except (yaml.YAMLError, UnicodeDecodeError) as error:
        raise SpeechWordsBrokenError(language, "it is not YAML in UTF-8") from error
    except ValidationError as error:
        place = ".".join(str(part) for part in error.errors(include_url=False)[0]["loc"])
        raise SpeechWordsBrokenError(language, f"see '{place}'") from error


def speakable(text: str, language: str = "en") -> str:
    """Return ``text`` with every number, unit, time and phone number in words.

    "SpO2 91%" is "sats ninety one percent", "6.5" is "six point five", "110" is
    "one hundred ten", "Call 911" is "Call nine one one".  Doing it twice changes nothing.

    Raises:
        SpeechWordsBrokenError: the language has no valid ``_speech.yaml``.

    """
    return _reader(language).read(text)


@lru_cache(maxsize=4)
def _reader(language: str) -> "_Reader":
    return _Reader(load_words(language), load_replies(language).numerals)


class _Reader:
    """One language's patterns, tried from left to right at every place of a sentence."""

    def __init__(self, words: SpeechWords, numerals: Numerals) -> None:
        self._words = words
        self._numerals = numerals
        units = "|".join(re.escape(unit) for unit in sorted(words.units, key=len, reverse=True))
        dial = "|".join(re.escape(word) for word in words.dial) or r"(?!)"
        named = "|".join(re.escape(word) for word in sorted(words.words, key=len, reverse=True))
        self._pattern = re.compile(
            rf"(?<!\w)(?P<word>{named or '(?!)'})(?!\w)"
            r"|(?<![\w.])(?P<date>\d{4}-\d\d-\d\d)(?!\d)"
            r"|(?<![\w.:])(?P<hour>[01]?\d|2[0-3]):(?P<minute>[0-5]\d)(?![\d:])"
            rf"|(?P<dialled>(?i:\b(?:{dial})\s+))(?P<short>\+?\d(?:[ ()-]?\d)+)"
            rf"|(?<![\w.,])(?P<long>\+?\d(?:[ ()-]{{0,2}}\d){{{LONG - 1},}})(?![.,]?\d)"
            r"|(?<![\w.,])(?P<zeros>0\d+)(?![.,:]?\d)"
            rf"|(?<![\w.,])(?P<minus>[-\u2212])?(?P<low>{NUMBER})"
            rf"(?:\s?[-\u2013\u2014]\s?(?P<high>{NUMBER}))?"
            rf"(?:\s?(?P<unit>{units})(?![\w/]))?(?![.,]?\d)"
        )

    def read(self, text: str) -> str:
        return self._pattern.sub(self._say, text)

    def _say(self, match: re.Match[str]) -> str:
        found = match.groupdict()
        if found["word"]:
            return self._words.words[found["word"]]
        if found["date"]:
            return match.group()
        if found["hour"]:
            return self._time(int(found["hour"]), int(found["minute"]))
        if found["short"]:
            return f"{found['dialled']}{self._digits(found['short'])}"
        if found["long"] or found["zeros"]:
            return self._digits(found["long"] or found["zeros"])
        return self._quantity(found)

    def _quantity(self, found: dict[str, str | None]) -> str:
        low, high, unit = found["low"] or "", found["high"], found["unit"]
        said = self._number(low)
        if found["minus"]:
            said = self._numerals.minus.format(number=said)
        if high:
            said = self._words.range.say.format(low=said, high=self._number(high))
        if not unit:
            return said
        forms = self._words.units[unit]
        one = not high and float(low.replace(",", "")) == 1
        return f"{said} {forms['one' if one else 'other']}"

    def _number(self, written: str) -> str:
        """Say a number exactly as written: "37.0" keeps its nought."""
        whole, _, decimals = written.replace(",", "").partition(".")
        said = self._numerals.say(int(whole))
        if not decimals:
            return said
        return self._numerals.point.format(whole=said, digits=self._digits(decimals))

    def _digits(self, written: str) -> str:
        """Say digit by digit, with a breath where the number was written in groups."""
        groups = [group for group in re.split(r"[^\d+]+", written) if group]
        return ", ".join(
            " ".join(
                self._words.plus if sign == "+" else self._numerals.say(int(sign)) for sign in group
            )
            for group in groups
        )

    def _time(self, hour: int, minute: int) -> str:
        clock = self._words.clock
        template = clock.full if minute == 0 else clock.early if minute < 10 else clock.late
        return template.say.format(hour=self._numerals.say(hour), minute=self._numerals.say(minute))
