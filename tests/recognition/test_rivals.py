"""How the second meaning differs from the first."""

from tests.recognition.by_hand import evidence, meaning, means
from voicelog.recognition.rivals import number_apart

DROPS = means("three drops", {"saline_drops": 3})
THIRTEEN = means("thirteen drops", {"saline_drops": 13})
WHITE = means("white", {"colour": "white"})


def test_two_meanings_apart_in_a_number_alone() -> None:
    assert number_apart(evidence(meaning(DROPS), meaning(THIRTEEN)))
    assert not number_apart(evidence(meaning(DROPS), meaning(WHITE)))
    assert not number_apart(evidence(meaning(DROPS)))
    both = means("x", {"saline_drops": 3, "colour": "white"})
    other = means("y", {"saline_drops": 3, "colour": "yellow"})
    assert not number_apart(evidence(meaning(both), meaning(other)))
