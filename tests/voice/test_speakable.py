"""Written sentences read aloud: what each number, unit and time becomes."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.dialogue.replies import load_replies
from voicelog.voice.fixed import fixed_sentences
from voicelog.voice.speakable import SpeechWordsBrokenError, load_words, speakable

TABLE = [
    ("Two passes, white, thick, 3 drops. Saved.", "Two passes, white, thick, three drops. Saved."),
    ("Heart rate 110.", "Heart rate one hundred ten."),
    ("Oxygen 6.5 litres.", "Oxygen six point five litres."),
    ("SpO2 91%", "sats ninety one percent"),
    ("Temperature 37.0°C", "Temperature thirty seven point zero degrees"),
    ("38.25 degrees", "thirty eight point two five degrees"),
    ("0.25 L/min", "zero point two five litres per minute"),
    ("pressure 80-120 mmHg", "pressure eighty to one hundred twenty millimetres of mercury"),
    ("80 – 120", "eighty to one hundred twenty"),
    ("1 cm and 2 cm", "one centimetre and two centimetres"),
    ("1,500 ml", "one thousand five hundred millilitres"),
    ("-3 degrees", "minus three degrees"),
    ("15 and 50", "fifteen and fifty"),
    ("Pass 2, 8 seconds.", "Pass two, eight seconds."),
    ("Call 911. Time noted 03:05.", "Call nine one one. Time noted three oh five."),
    ("Phone 112", "Phone one one two"),
    ("+1 555-0134", "plus one, five five five, zero one three four"),
    ("5550134", "five five five zero one three four"),
    ("since 14:30", "since fourteen thirty"),
    ("at 7:00", "at seven o'clock"),
    ("room 007", "room zero zero seven"),
]


@pytest.mark.parametrize(("written", "spoken"), TABLE)
def test_what_is_read_aloud(written: str, spoken: str) -> None:
    assert speakable(written) == spoken


@pytest.mark.parametrize("text", ["", "Not saved.", "Is it the first, or the second?", "v2.1"])
def test_plain_words_stay(text: str) -> None:
    assert speakable(text) == text


@given(st.text("0123456789.,:-+% abcmlHgL°/", max_size=40))
def test_doing_it_twice_changes_nothing(text: str) -> None:
    assert speakable(speakable(text)) == speakable(text)


def value_of(words: str) -> float:
    """Work a number back out of its English words, independently of how they were made."""
    names = "zero one two three four five six seven eight nine ten eleven twelve thirteen"
    names += " fourteen fifteen sixteen seventeen eighteen nineteen"
    values = {name: value for value, name in enumerate(names.split())}
    tens = "twenty thirty forty fifty sixty seventy eighty ninety"
    values |= {name: 10 * value for value, name in enumerate(tens.split(), 2)}
    whole, _, decimals = words.partition(" point ")
    total = current = 0
    for word in whole.split():
        if word == "hundred":
            current *= 100
        elif word == "thousand":
            total, current = total + 1000 * current, 0
        else:
            current += values[word]
    digits = "".join(str(values[word]) for word in decimals.split())
    return float(f"{total + current}.{digits or 0}")


@given(st.integers(0, 9999), st.integers(0, 99))
def test_every_number_can_be_worked_back(whole: int, hundredths: int) -> None:
    assert value_of(speakable(str(whole))) == whole
    written = f"{whole}.{hundredths:02}"
    assert value_of(speakable(written)) == float(written)


def test_no_figure_is_left_in_what_is_always_said() -> None:
    for text in fixed_sentences("en"):
        assert not re.search(r"\d", speakable(text)), text


def test_fixed_sentences_have_nothing_to_fill_in() -> None:
    fixed = fixed_sentences("en")
    assert "Nothing to undo." in fixed
    assert load_replies("en").faults["storage"] in fixed
    assert len(set(fixed)) == len(fixed)
    assert not [text for text in fixed if "{" in text]


def test_every_unit_has_both_forms() -> None:
    for unit, forms in load_words("en").units.items():
        assert set(forms) == {"one", "other"}, unit


def test_a_language_without_the_file_is_told() -> None:
    with pytest.raises(SpeechWordsBrokenError, match="'xx' is broken"):
        load_words("xx")
