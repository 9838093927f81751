"""Likeness: only against the closed vocabulary, with a margin, never for numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz import fuzz

from voicelog.grammar import Grammar
from voicelog.grammar.fuzzy import FuzzyWords


@pytest.fixture(scope="module")
def words() -> FuzzyWords:
    return FuzzyWords(
        ["yellow", "yellowish", "suction", "copious", "thick", "thin", "gurgling"],
        ["fifteen", "fifty", "thirty"],
        [["suction", "section"], ["yellow", "mellow"]],
    )


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("yelow", "yellow"),
        ("copius", "copious"),
        ("gurglin", "gurgling"),
        ("section", None),  # a word of its own, and on the never-merge list
        ("mellow", None),
        ("fiften", None),
        ("fifteeen", None),
        ("tick", None),  # too short to tell
        ("umbrella", None),
    ],
)
def test_nearest(words: FuzzyWords, said: str, meant: str | None) -> None:
    assert words.nearest(said) == meant


def test_look_alikes_need_more_than_a_ratio() -> None:
    # Reference: rapidfuzz's plain ratio puts section within reach of suction.
    assert fuzz.ratio("section", "suction") > 82


@pytest.fixture(scope="module")
def fuzzy(english: Grammar) -> FuzzyWords:
    return english.parser.fuzzy


@pytest.mark.parametrize("number", ["fifteen", "fifty", "thirty", "thirteen", "sixteen", "sixty"])
def test_a_number_word_is_never_changed(fuzzy: FuzzyWords, number: str) -> None:
    damaged = [number[:at] + number[at + 1 :] for at in range(len(number))]
    assert [word for word in (number, *damaged) if fuzzy.nearest(word) is not None] == []


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz", max_size=14))
def test_a_guess_is_always_a_known_word(word: str) -> None:
    fuzzy = FuzzyWords(["yellow", "copious"], ["fifty"], [])
    assert fuzzy.nearest(word) in (None, "yellow", "copious")
