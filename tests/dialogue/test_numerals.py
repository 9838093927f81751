import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tests.dialogue.bedside import ENGLISH
from voicelog.dialogue.numerals import Numerals, figures

KOREAN = Numerals(
    styles={
        "plain": {
            **dict(enumerate(["영", "일", "이", "삼", "사", "오", "육", "칠", "팔", "구"])),
            10: "십[>]",
            20: "<십[>]",
            100: "백[>]",
            200: "<백[>]",
            1000: "천[>]",
            2000: "<천[>]",
        },
        "counting": {
            **dict(
                enumerate(["영", "한", "두", "세", "네", "다섯", "여섯", "일곱", "여덟", "아홉"])
            ),
            10: "열[>]",
            20: "스물[>]",
        },
    },
    point="{whole} 점 {digits}",
    minus="영하 {number}",
)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0, "zero"),
        (2, "two"),
        (13, "thirteen"),
        (20, "twenty"),
        (21, "twenty one"),
        (100, "one hundred"),
        (101, "one hundred one"),
        (130, "one hundred thirty"),
        (999, "nine hundred ninety nine"),
        (1250, "one thousand two hundred fifty"),
        (12000, "twelve thousand"),
        (6.5, "six point five"),
        (38.0, "thirty eight"),
        (0.25, "zero point two five"),
        (37.05, "thirty seven point zero five"),
        (-3, "minus three"),
    ],
)
def test_english(value: float, words: str) -> None:
    assert ENGLISH.numerals.say(value) == words


@pytest.mark.parametrize(
    ("value", "style", "words"),
    [
        (2, "plain", "이"),
        (15, "plain", "십오"),
        (50, "plain", "오십"),
        (130, "plain", "백삼십"),
        (345, "plain", "삼백사십오"),
        (37.5, "plain", "삼십칠 점 오"),
        (3, "counting", "세"),
        (12, "counting", "열두"),
        (21, "counting", "스물한"),
    ],
)
def test_a_language_that_counts_and_measures_in_different_words(
    value: float, style: str, words: str
) -> None:
    """Korean numerals, from memory of any grammar; only to show that rules are data."""
    assert KOREAN.say(value, style) == words


@given(st.integers(0, 99_999))
def test_no_two_whole_numbers_sound_the_same(value: int) -> None:
    say = ENGLISH.numerals.say
    assert say(value) != say(value + 1)
    assert "[" not in say(value)
    assert "<" not in say(value)


def test_fifteen_and_fifty_differ_as_words() -> None:
    words = {ENGLISH.numerals.say(value) for value in range(1000)}
    assert len(words) == 1000


@pytest.mark.parametrize(
    ("value", "text"),
    [(38.0, "38"), (6.5, "6.5"), (100, "100"), (0.0, "0"), (6.125, "6.12"), (-0.001, "0")],
)
def test_figures(value: float, text: str) -> None:
    assert figures(value) == text


@pytest.mark.parametrize(
    ("rules", "why"),
    [({0: "zero"}, "no word for 1"), ({**dict.fromkeys(range(10), "x"), 5: "<"}, "do not end")],
)
def test_rules_that_cannot_work_are_refused(rules: dict[int, str], why: str) -> None:
    with pytest.raises(ValidationError, match=why):
        Numerals(styles={"plain": rules}, point="{whole}{digits}", minus="{number}")
