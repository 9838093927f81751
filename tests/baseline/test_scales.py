from math import isnan
from pathlib import Path

import pytest
import yaml

from voicelog import data
from voicelog.baseline.scales import AMOUNT, BLOOD, COLOUR, ODOUR, SCALES, THICKNESS, score, word


@pytest.mark.parametrize("slot", ["colour", "thickness", "amount", "odour"])
def test_every_spoken_value_has_a_place(slot) -> None:
    path: Path = data.folder("grammars") / "en" / f"{slot}.yaml"
    spoken = set(yaml.safe_load(path.read_text(encoding="utf-8"))["values"])
    known = set(SCALES[slot]) | (set(BLOOD) if slot == "colour" else set())
    assert spoken <= known


def test_murray_grades_keep_their_order() -> None:
    """Murray et al. 2009: mucoid before mucopurulent before purulent."""
    mucoid, mucopurulent, purulent = ("clear", "white"), ("cloudy", "tan"), ("yellow", "green")
    assert max(COLOUR[c] for c in mucoid) < min(COLOUR[c] for c in mucopurulent)
    assert max(COLOUR[c] for c in mucopurulent) < min(COLOUR[c] for c in purulent)


def test_scores_and_words_go_both_ways() -> None:
    for slot, scale in (("colour", COLOUR), ("thickness", THICKNESS), ("amount", AMOUNT)):
        for name in scale:
            assert word(slot, score(slot, name)) == name
    assert score("odour", "foul") == ODOUR["foul"] == 1


def test_blood_and_unknown_words_have_no_place_on_a_scale() -> None:
    assert isnan(score("colour", "red"))
    assert isnan(score("colour", "purple"))
    assert isnan(score("passes", None))
    assert score("passes", 3) == 3.0
