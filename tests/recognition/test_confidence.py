"""What the confidence looks at, and that it points the right way whatever its weights."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.recognition.by_hand import evidence, meaning, means
from voicelog.recognition.confidence import (
    LOUD_AND_CLEAR,
    STEPS,
    confidence,
    features,
    probability,
)

DROPS = means("three drops", {"saline_drops": 3})
THIRTEEN = means("thirteen drops", {"saline_drops": 13})
WHITE = means("white", {"colour": "white"})
YELLOW = means("yellow", {"colour": "yellow"})


def test_every_weight_has_its_feature_and_every_feature_its_weight() -> None:
    assert set(confidence().weights) == set(features(evidence(meaning(DROPS))))


def test_asking_comes_before_storing() -> None:
    limits = confidence()
    assert 0 < limits.ask < limits.store <= limits.store_in_noise < 1
    assert limits.data["right"] != 0, "the reader can see what it was fitted on"


def test_a_perfect_case() -> None:
    seen = features(evidence(meaning(DROPS)))
    assert {name: seen[name] for name in ("one", "agree", "exact", "alike")} == {
        "one": 1,
        "agree": 1,
        "exact": 1,
        "alike": 1,
    }
    for name in ("gap_0", "conflict", "others", "skipped", "number", "nothing", "noise"):
        assert seen[name] == 0, name


@pytest.mark.parametrize("gap", [0.0, 1.0, 3.0, 5.0, 12.0, 34.0, 99.0])
def test_the_pieces_of_a_gap_add_up_to_it(gap: float) -> None:
    seen = features(evidence(meaning(DROPS, -1.0 - gap), free=means("treetops"), score=-1.0))
    pieces = [value for name, value in seen.items() if name.startswith("gap_")]
    assert sum(pieces) == pytest.approx(-min(gap, STEPS[-1]))


def test_a_likelier_masked_text_has_no_gap() -> None:
    seen = features(evidence(meaning(DROPS, -0.2), score=-1.0))
    assert seen["gap_0"] == 0


def test_the_margin_is_told_in_two_pieces_and_capped() -> None:
    near = features(evidence(meaning(DROPS, -1.0), meaning(WHITE, -2.5)))
    assert (near["margin"], near["margin_far"]) == (pytest.approx(1.5), 0)
    alone = features(evidence(meaning(DROPS)))
    assert (alone["margin"], alone["margin_far"]) == (2, 8)


def test_the_same_sounds_spelt_otherwise_are_alike() -> None:
    change = means("filter change", {"action": "hme_change"})
    seen = features(evidence(meaning(change), free=means("Filter chain."), score=-1.0))
    assert seen["alike"] > 0.85
    assert features(evidence(meaning(change), free=means("Who? Lola!")))["alike"] < 0.4


def test_noise_counts_below_a_clear_bedroom() -> None:
    def noise(decibels: float) -> float:
        return features(evidence(meaning(DROPS), prominence=decibels))["noise"]

    assert noise(LOUD_AND_CLEAR) == noise(60.0) == 0
    assert noise(0.0) == 1
    assert noise(LOUD_AND_CLEAR / 2) == 0.5
    assert features(evidence(meaning(WHITE), prominence=0.0))["noise_number"] == 0


def test_a_contradiction_is_not_an_agreement() -> None:
    seen = features(evidence(meaning(DROPS, -2.0), free=THIRTEEN))
    assert (seen["agree"], seen["conflict"]) == (0, 1)


def test_free_speech_that_means_something_else_makes_less_sure() -> None:
    agreeing = probability(evidence(meaning(DROPS, -4.0), free=DROPS))
    assert probability(evidence(meaning(DROPS, -4.0), free=THIRTEEN)) < agreeing


def test_a_near_rival_makes_less_sure() -> None:
    alone = probability(evidence(meaning(WHITE)))
    assert probability(evidence(meaning(WHITE), meaning(YELLOW, -1.5))) < alone


SCORES = st.floats(-80, 0)


@given(first=SCORES, further=st.floats(0, 40))
def test_the_further_behind_free_speech_the_less_sure(first: float, further: float) -> None:
    """With a text that shares no letter with it."""
    free = means("mumble")
    unlike = means("dips", {"saline_drops": 3})

    def sure(score: float) -> float:
        return probability(evidence(meaning(unlike, score), free=free, score=0.0))

    assert sure(first - further) <= sure(first) + 1e-9


@given(
    scores=st.lists(SCORES, min_size=1, max_size=3),
    free=SCORES,
    tokens=st.integers(0, 60),
    prominence=st.floats(-20, 90),
    others=st.integers(0, 9),
)
def test_it_is_a_probability_whatever_was_found(
    scores: list[float], free: float, tokens: int, prominence: float, others: int
) -> None:
    parses = [DROPS, THIRTEEN, WHITE]
    found = [meaning(p, s, others=others) for p, s in zip(parses, scores, strict=False)]
    sure = probability(
        evidence(*found, free=means("mumble"), score=free, tokens=tokens, prominence=prominence)
    )
    assert 0 <= sure <= 1
