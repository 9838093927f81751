"""Texts with one meaning are one meaning; how the searches compare."""

from math import exp, log

import pytest

from tests.recognition.by_hand import means
from voicelog.grammar import Parse
from voicelog.recognition.confidence import confidence, features, probability
from voicelog.recognition.decide import decide
from voicelog.recognition.evidence import OTHER_PENALTY, Found, Written, merge, shared, weigh

MEANINGS = {
    "Three drops.": {"saline_drops": 3},
    "3 drops": {"saline_drops": 3},
    "Thirteen drops.": {"saline_drops": 13},
    "Thirty drops.": {"saline_drops": 30},
}


def parse(text: str) -> Parse:
    slots = MEANINGS.get(text)
    if slots is None:
        return means(text)
    return means(text, slots)


def found(*masked: tuple[str, float], free: tuple[str, float]) -> Found:
    heard = (Written(*free, 4),)
    return Found(tuple(Written(text, score, 4) for text, score in masked), heard)


def test_equal_meanings_add_their_probabilities() -> None:
    texts = [("Three drops.", -1.0), ("3 drops", -2.0), ("Thirteen drops.", -3.0)]
    meanings = merge([(Written(t, s, 4), parse(t)) for t, s in texts])
    assert [m.parse.slots["saline_drops"] for m in meanings] == [3, 13]
    assert meanings[0].worth == pytest.approx(log(exp(-1) + exp(-2)))


def test_what_free_speech_says_in_known_words_counts_as_found() -> None:
    """The parser knows more ways of putting words together than a mask can list."""
    texts = found(("Thirteen drops.", -9.0), free=("Three drops.", -1.0))
    assert [m.parse.slots["saline_drops"] for m in weigh(texts, parse).meanings] == [3, 13]

    def strange(text: str) -> Parse:
        read = parse(text)
        return read.model_copy(update={"skipped": ("um",)}) if text == "Three drops." else read

    assert [m.parse.slots["saline_drops"] for m in weigh(texts, strange).meanings] == [13]


def test_hearing_nothing_hides_no_word_that_is_nearly_as_likely() -> None:
    """A free search that ends before "out" is no doubt of it; before a far-fetched text it is."""
    silence = (Written("", -0.7, 0),)
    near = weigh(Found((Written("Three drops.", -1.1, 4),), silence), parse)
    far = weigh(Found((Written("Three drops.", -6.0, 4),), silence), parse)
    assert (near.heard.text, near.agree, near.gap) == ("Three drops.", True, 0)
    assert (far.heard.text, far.agree) == ("", False)


def test_texts_without_meaning_are_dropped() -> None:
    evidence = weigh(found(("Hello there", -0.5), free=("Hello there", -0.5)), parse)
    assert evidence.meanings == ()
    assert decide(evidence).outcome == "not_understood"


def test_unlisted_words_cost() -> None:
    assert Written("a", -1.0, 2, others=2).worth == -1.0 - 2 * OTHER_PENALTY


def test_a_clear_case_is_understood_and_nonsense_is_not() -> None:
    clear = weigh(found(("Three drops.", -0.4), free=("Three drops.", -0.4)), parse)
    assert decide(clear).outcome == "understood"
    assert decide(clear).slots == {"saline_drops": 3}
    nonsense = weigh(found(("Three drops.", -40.0), free=("We went to the shops", -1.0)), parse)
    assert decide(nonsense).outcome == "not_understood"


def test_two_near_numbers_are_never_stored() -> None:
    near = weigh(
        found(("Thirteen drops.", -1.0), ("Thirty drops.", -1.2), free=("Thirty drops.", -1.2)),
        parse,
    )
    decision = decide(near)
    assert decision.outcome == "ask"
    assert {table["saline_drops"] for table in decision.alternatives} == {13, 30}


def test_confidence_falls_with_the_gap() -> None:
    sure = [
        probability(weigh(found(("Three drops.", -gap), free=("Free tops", -0.5)), parse))
        for gap in (0.5, 4.0, 9.0, 20.0)
    ]
    assert sure == sorted(sure, reverse=True)


def test_every_feature_has_a_weight() -> None:
    evidence = weigh(found(("Three drops.", -0.4), free=("Three drops.", -0.4)), parse)
    assert set(features(evidence)) == set(confidence().weights)
    assert 0 < confidence().ask < confidence().store < 1


def test_shared_is_what_all_agree_on() -> None:
    assert shared([{"a": 1, "b": 2}, {"a": 1, "b": 3}]) == {"a": 1}
    assert shared([]) == {}
