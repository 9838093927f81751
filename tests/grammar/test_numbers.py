"""Spoken numbers against their case table, and against independent spellers."""

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from unicode_rbnf import RbnfEngine

from voicelog import data
from voicelog.grammar.mask import figures
from voicelog.grammar.numbers import Numbers
from voicelog.grammar.spec import NumberSpec, load_spec
from voicelog.grammar.tokens import split
from voicelog.plainyaml import read_yaml

SPEC = load_spec("en")
NUMBERS = Numbers(SPEC.numbers)
TABLE = read_yaml(Path(data.folder("grammars")) / "en" / "_numbers.test.yaml")
SPELLER = RbnfEngine.for_language("en")


def meanings(said: str, low: float, high: float, decimals: int) -> list[float]:
    spec = NumberSpec.model_validate({"from": low, "to": high, "decimals": decimals})
    words = list(split(said, SPEC.language.spellings).words)
    return sorted({value for end, value in NUMBERS.read(words, 0, spec) if end == len(words)})


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row['said']} {row['range']}")
def test_table(row: dict[str, object]) -> None:
    assert meanings(str(row["said"]), *row["range"]) == row["means"]  # type: ignore[misc]


@given(st.integers(0, 999))
def test_reads_what_unicode_cldr_spells(value: int) -> None:
    # Source: Unicode CLDR rule-based number formats (unicode-rbnf), English cardinals.
    said = SPELLER.format_number(value).text
    assert meanings(said, 0, 999, 0) == [value]


@given(st.integers(300, 430))
def test_reads_cldr_decimals(tenths: int) -> None:
    whole, part = divmod(tenths, 10)
    said = f"{SPELLER.format_number(whole).text} point {SPELLER.format_number(part).text}"
    assert meanings(said, 30, 43, 1) == [tenths / 10]


@given(st.integers(0, 400), st.integers(0, 50))
def test_never_reads_outside_the_instrument(value: int, low: int) -> None:
    found = meanings(str(value), low, 300, 0)
    assert found == ([value] if low <= value <= 300 else [])


@settings(max_examples=30)
@given(st.lists(st.sampled_from(sorted(NUMBERS.words)), min_size=1, max_size=5))
def test_any_word_salad_is_in_range_or_nothing(words: list[str]) -> None:
    spec = NumberSpec.model_validate({"from": 30, "to": 100, "decimals": 1})
    for end, value in NUMBERS.read(words, 0, spec):
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
            assert NUMBERS.written(text, spec) is not None, text
        elif low <= float(text) < high:
            pytest.fail(f"{text} cannot be written")
