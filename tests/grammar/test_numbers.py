"""Spoken numbers against their case table, and against independent spellers."""

import re
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from unicode_rbnf import RbnfEngine

from voicelog import data
from voicelog.grammar.grammar import Grammar, load
from voicelog.grammar.mask import figures
from voicelog.grammar.spec import NumberSpec
from voicelog.grammar.tokens import split
from voicelog.plainyaml import read_yaml

LANGUAGES = ("en", "ko")
SPELLERS = {language: RbnfEngine.for_language(language) for language in LANGUAGES}


def _table() -> list[Any]:
    return [
        pytest.param(language, row, id=f"{language} {row['said']} {row['range']}")
        for language in LANGUAGES
        for row in read_yaml(data.folder("grammars") / language / "_numbers.test.yaml")
    ]


@cache
def _grammar(language: str) -> Grammar:
    return load(language)


def meanings(
    said: str, low: float, high: float, decimals: int, language: str = "en"
) -> list[float]:
    spec = NumberSpec.model_validate({"from": low, "to": high, "decimals": decimals})
    words = _words(said, language)
    read = _grammar(language).numbers.read(words, 0, spec)
    return sorted({value for end, value in read if end == len(words)})


def _words(said: str, language: str) -> list[str]:
    grammar = _grammar(language)
    words = split(said, grammar.spec.language.spellings)
    return list((words if grammar.spacing is None else grammar.spacing.cut(words)).words)


@pytest.mark.parametrize(("language", "row"), _table())
def test_table(language: str, row: dict[str, Any]) -> None:
    assert meanings(row["said"], *row["range"], language) == row["means"]


@given(st.integers(0, 999), st.sampled_from(LANGUAGES))
def test_reads_what_unicode_cldr_spells(value: int, language: str) -> None:
    # Source: Unicode CLDR rule-based number formats (unicode-rbnf), cardinals.
    said = SPELLERS[language].format_number(value).text
    assert meanings(said, 0, 999, 0, language) == [value]


@given(st.integers(21, 999))
def test_what_cldr_spells_is_unfinished_before_its_last_word(value: int) -> None:
    """But for a first digit alone: "one" may be all, and waiting after each would be long."""
    words = split(SPELLERS["en"].format_number(value).text).words
    for end in range(1, len(words)):
        if end > 1 or value < 100:
            assert _grammar("en").unfinished("pressure " + " ".join(words[:end]))
    assert _grammar("en").unfinished(" ".join(words)) == (value % 10 == 0 and value % 100 != 10)


@pytest.mark.parametrize(
    ("text", "open_"),
    [
        ("pressure 100", True),
        ("pressure 110", True),
        ("10 drops", False),
        ("depth ten", False),
        ("thirty eight point", True),
        ("two passes, um", True),
        ("thick, yellow.", False),
        ("압력 백", True),
        ("산소 구십 칠", False),
        ("", False),
    ],
)
def test_a_sentence_may_sound_unfinished(text: str, open_: bool) -> None:
    assert _grammar("ko" if text > "z" else "en").unfinished(text) == open_


@pytest.mark.parametrize("value", range(1, 41))
def test_reads_native_korean_numbers(value: int) -> None:
    # Source: Unicode CLDR rule-based number formats, as they stand alone and before a counter.
    spelt = SPELLERS["ko"].format_number(value).text_by_ruleset
    for way in ("spellout-cardinal-native", "spellout-cardinal-native-attributive"):
        assert meanings(spelt[way], 0, 40, 0, "ko") == [value], spelt[way]


@given(st.integers(0, 999), st.sampled_from(LANGUAGES))
def test_figures_are_the_same_for_what_cldr_spells(value: int, language: str) -> None:
    # Source: Unicode CLDR rule-based number formats (unicode-rbnf), cardinals.
    words = _words(SPELLERS[language].format_number(value).text, language)
    numbers = _grammar(language).numbers
    assert numbers.figured(words) == numbers.figured([str(value)]) == [str(value)]


@pytest.mark.parametrize(
    ("said", "figured"),
    [
        ("one ten", "110"),
        ("1 10", "110"),
        ("one oh five", "105"),
        ("temp thirty six point five", "temp 36 5"),
        ("temp 36 point 5", "temp 36 5"),
        ("36.5", "36 5"),
        ("36.50", "36 5"),
        ("nought point five litres", "5 litres"),
        ("0.5 litres", "5 litres"),
        ("no drops", "no drops"),
        ("zero drops", "0 drops"),
        ("three drops and 2 passes", "3 drops and 2 passes"),
    ],
)
def test_numbers_in_figures(said: str, figured: str) -> None:
    assert _grammar("en").numbers.figured(said.split()) == figured.split()


@given(st.integers(300, 430))
def test_reads_cldr_decimals(tenths: int) -> None:
    for language, point in (("en", "point"), ("ko", "점")):
        whole, part = (SPELLERS[language].format_number(n).text for n in divmod(tenths, 10))
        assert meanings(f"{whole} {point} {part}", 30, 43, 1, language) == [tenths / 10]


@given(st.integers(0, 400), st.integers(0, 50))
def test_never_reads_outside_the_instrument(value: int, low: int) -> None:
    found = meanings(str(value), low, 300, 0)
    assert found == ([value] if low <= value <= 300 else [])


@settings(max_examples=30)
@given(st.data(), st.sampled_from(LANGUAGES))
def test_any_word_salad_is_in_range_or_nothing(drawn: st.DataObject, language: str) -> None:
    numbers = _grammar(language).numbers
    some = st.lists(st.sampled_from(sorted(numbers.words)), min_size=1, max_size=5)
    words = drawn.draw(some)
    spec = NumberSpec.model_validate({"from": 30, "to": 100, "decimals": 1})
    for end, value in numbers.read(words, 0, spec):
        assert 30 <= value <= 100
        assert 0 < end <= len(words)


@pytest.mark.parametrize(
    ("low", "high", "decimals"), [(20, 400, 0), (30, 43, 1), (0, 15, 2), (0, 12, 0)]
)
def test_figures_in_the_mask_are_read(low: int, high: int, decimals: int) -> None:
    spec = NumberSpec.model_validate({"from": low, "to": high, "decimals": decimals})
    pattern = re.compile(figures(spec))
    for hundredths in range(50_000):
        value = hundredths / 100
        text = f"{value:.{decimals}f}"
        if pattern.fullmatch(text):
            assert _grammar("en").numbers.written(text, spec) is not None, text
        elif low <= float(text) < high:
            pytest.fail(f"{text} cannot be written")
