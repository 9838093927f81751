"""Sentences as the model writes them, cut into its own subwords."""

import pytest

from bench.spell import integer, spell
from bench.writing import Pieces, figures, ways_to_write
from voicelog.recognition.acoustic import SIZE
from voicelog.recognition.prepare import SHIPPED, shipped_folder
from voicelog.recognition.vocabulary import Vocabulary, read_pieces

PIECES = read_pieces(shipped_folder() / SHIPPED[2])


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("sats ninety four percent", "sats 94%"),
        ("pressure one hundred and ten", "pressure 110"),
        ("a hundred and four", "104"),
        ("thirty eight point two", "38.2"),
        ("oh point five litres", "0.5 litres"),
        ("two passes", "two passes"),
        ("not to the point", "not to the point"),
    ],
)
def test_numbers_from_ten_on_are_written_in_figures(said: str, written: str) -> None:
    assert figures(said) == written


@pytest.mark.parametrize("number", [10, 17, 40, 99, 100, 101, 120, 199, 250])
def test_figures_are_spelt_back_as_they_were_said(number: int) -> None:
    assert spell(figures(f"sats {integer(number)}")) == f"sats {integer(number)}"


def test_a_sentence_begins_large_and_ends_with_a_stop() -> None:
    assert ways_to_write("two passes, i think") == ["Two passes, I think."]
    assert ways_to_write("is it sixty?") == ["Is it sixty?", "Is it 60?"]


@pytest.mark.parametrize(
    "text",
    ["Two passes, white, thick, three drops.", "Sats 94%, temp 38.2.", "Naïve, 5 °C – yes!"],
)
def test_subwords_spell_the_sentence(text: str) -> None:
    assert Vocabulary(PIECES, SIZE).text(Pieces(PIECES).cut(text)) == text


def test_subwords_are_those_the_model_itself_writes() -> None:
    # Reference: what the shipped model wrote when it heard these sentences, decoded freely.
    heard = {
        "He's still fast asleep.": [940, 29915, 29879, 1603, 5172, 408, 5436, 29889],
        "Turned him down to half a litre.": [
            *(9603, 287, 1075, 1623, 304, 4203, 263, 11872, 276, 29889),
        ],
    }
    for text, numbers in heard.items():
        assert Pieces(PIECES).cut(text) == numbers
