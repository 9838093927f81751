"""Digits in a free transcript become the words that were spoken."""

import pytest

from bench.spell import integer, spell
from voicelog import grammar


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        ("Sats 94%, heart rate 120.", "sats ninety four percent, heart rate one hundred twenty"),
        ("Temp is 38.2°C", "temp is thirty eight point two degrees c"),
        ("1.05", "one point zero five"),
        ("1,250 and 0.5", "one thousand two hundred fifty and zero point five"),
        ("Pressure 1:10", "pressure one ten"),
        ("Two passes; white!", "two passes, white"),
        ("He's fine.", "he's fine"),
        ("", ""),
        ("The 2nd pass", "the two pass"),
    ],
)
def test_spell(written, spoken):
    assert spell(written) == spoken


def test_integer_reads_back():
    numbers = grammar.load("en")
    for n in (*range(20, 250, 7), 300, 999):
        parse = numbers.parse(f"heart rate {integer(n)}")
        if 20 <= n <= 240:
            assert parse.slots == {"heart_rate": n}
