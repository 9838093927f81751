"""Stored, asked or refused: the rules around the confidence, which is set by hand here."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.recognition.by_hand import evidence, meaning, means
from voicelog.recognition import decide as room
from voicelog.recognition.confidence import confidence
from voicelog.recognition.decide import CLOSE, CLOSE_NUMBERS, TIED, decide
from voicelog.recognition.evidence import Evidence

DROPS = means("three drops", {"saline_drops": 3})
THIRTEEN = means("thirteen drops", {"saline_drops": 13})
THICK = means("white thick", {"colour": "white", "thickness": "thick"})
THIN = means("white thin", {"colour": "white", "thickness": "thin"})
SURE, UNSURE, LOST = 0.999, (confidence().ask + confidence().store) / 2, confidence().ask / 2

Trust = Callable[[float], None]


@pytest.fixture
def trust(monkeypatch: pytest.MonkeyPatch) -> Trust:
    """Set how sure the model is."""

    def be(sure: float) -> None:
        monkeypatch.setattr(room, "probability", lambda evidence: sure)

    return be


def test_a_sure_meaning_is_stored(trust: Trust) -> None:
    trust(SURE)
    found = decide(evidence(meaning(DROPS)))
    assert (found.outcome, found.slots, found.text) == (
        "understood",
        {"saline_drops": 3},
        DROPS.text,
    )
    assert found.confidence == SURE


def test_what_means_nothing_is_refused_whatever_the_confidence(trust: Trust) -> None:
    trust(SURE)
    found = decide(evidence(free=means("we went to the shops")))
    assert (found.outcome, found.slots, found.confidence) == ("not_understood", {}, 0)
    assert found.text == "we went to the shops"


def test_a_meaning_nobody_trusts_is_refused(trust: Trust) -> None:
    trust(LOST)
    found = decide(evidence(meaning(DROPS), free=means("treetops")))
    assert (found.outcome, found.slots, found.alternatives) == ("not_understood", {}, ())
    assert found.text == "treetops", "what was heard is shown, not what it might have meant"


def test_between_the_two_it_is_asked_about(trust: Trust) -> None:
    trust(UNSURE)
    found = decide(evidence(meaning(THICK), meaning(THIN, -2.0)))
    assert found.outcome == "ask"
    assert found.slots == {"colour": "white"}, "what both say is kept"
    assert found.alternatives == (THICK.slots, THIN.slots)


def test_loud_noise_takes_more_to_store(trust: Trust) -> None:
    limits = confidence()
    trust((limits.store + limits.store_in_noise) / 2)
    assert decide(evidence(meaning(DROPS), prominence=15.0)).outcome == "understood"
    assert decide(evidence(meaning(DROPS), prominence=10.0)).outcome == "ask"
    trust(limits.store_in_noise)
    assert decide(evidence(meaning(DROPS), prominence=10.0)).outcome == "understood"


def test_a_far_second_meaning_is_not_offered(trust: Trust) -> None:
    trust(UNSURE)
    found = decide(evidence(meaning(THICK), meaning(THIN, -1.1 - CLOSE)))
    assert (found.outcome, found.slots) == ("ask", {})
    assert found.alternatives == (THICK.slots,)


def test_two_near_numbers_are_asked_about_however_sure(trust: Trust) -> None:
    trust(SURE)
    least = -1.0 - CLOSE_NUMBERS
    near, far = meaning(THIRTEEN, least + 0.1), meaning(THIRTEEN, least - 0.1)
    found = decide(evidence(meaning(DROPS), near))
    assert found.outcome == "ask"
    assert found.alternatives == (DROPS.slots, THIRTEEN.slots)
    assert decide(evidence(meaning(DROPS), far)).outcome == "understood"


def test_a_near_word_does_not_hold_up_what_is_sure(trust: Trust) -> None:
    trust(SURE)
    near = -1.0 - TIED
    assert decide(evidence(meaning(THICK), meaning(THIN, near))).outcome == "understood"


def test_two_meanings_as_likely_are_asked_about_however_sure(trust: Trust) -> None:
    trust(SURE)
    found = decide(evidence(meaning(THICK), meaning(THIN, -0.9 - TIED)))
    assert (found.outcome, found.alternatives) == ("ask", (THICK.slots, THIN.slots))


def test_a_near_meaning_that_says_more_is_asked_about_however_sure(trust: Trust) -> None:
    trust(SURE)
    short, whole = means("sats 100", {"spo2": 100}), {"spo2": 100, "child_response": "calm"}
    for score, outcome in ((-0.9 - CLOSE, "ask"), (-1.1 - CLOSE, "understood")):
        longer = meaning(means("sats 100 calm", whole), score)
        found = decide(evidence(meaning(short), longer))
        assert found.outcome == outcome
        assert found.alternatives == ((short.slots, whole) if outcome == "ask" else ())


def test_numbers_must_lie_further_apart_in_noise(trust: Trust) -> None:
    trust(SURE)
    both = meaning(DROPS), meaning(THIRTEEN, -1.0 - CLOSE_NUMBERS - 1.0)
    assert decide(evidence(*both, prominence=40.0)).outcome == "understood"
    found = decide(evidence(*both, prominence=10.0))
    assert (found.outcome, found.alternatives) == ("ask", (DROPS.slots, THIRTEEN.slots))


def test_another_number_in_free_speech_is_asked_about_however_sure(trust: Trust) -> None:
    trust(SURE)
    masked = means("rate thirty two", {"resp_rate": 32}, numbers=("thirty", "two"))
    free = means("rate fifty two", numbers=("fifty", "two"))
    found = decide(evidence(meaning(masked, -9.0), free=free, score=-1.0))
    assert (found.outcome, found.alternatives) == ("ask", ({"resp_rate": 32},))


def test_a_number_written_in_parts_is_the_same_number(trust: Trust) -> None:
    trust(SURE)
    masked = means("heart rate one twenty six", {"heart_rate": 126}, numbers=("126",))
    for parts, outcome in ((("1", "26"), "understood"), (("1", "36"), "ask")):
        free = means("heart rate one 26", numbers=parts)
        assert decide(evidence(meaning(masked, -9.0), free=free)).outcome == outcome


def test_a_sentence_turned_round_is_refused_however_sure(trust: Trust) -> None:
    trust(SURE)
    masked = means("saw blood", {"colour": "red"})
    free = means("saw no blood", blocked=True)
    found = decide(evidence(meaning(masked, -9.0), free=free, score=-1.0))
    assert (found.outcome, found.slots) == ("not_understood", {})


def test_words_that_mean_two_things_are_asked_about(trust: Trust) -> None:
    trust(SURE)
    two = ({"colour": "white"}, {"colour": "cloudy"})
    milky = means("milky", outcome="ask", alternatives=two)
    found = decide(evidence(meaning(milky)))
    assert (found.outcome, found.slots, found.alternatives) == ("ask", {}, two)


def test_free_speech_that_leaves_a_choice_is_taken_at_its_word(trust: Trust) -> None:
    trust(SURE)
    two = ({"colour": "white"}, {"colour": "yellow"})
    free = means("white or yellow", outcome="ask", alternatives=two)
    found = decide(evidence(meaning(means("white", {"colour": "white"}), -3.0), free=free))
    assert (found.outcome, found.alternatives) == ("ask", two)
    assert found.text == "white or yellow"


def test_a_doubtful_wake_phrase_is_no_question(trust: Trust) -> None:
    """There would be nothing to choose between."""
    trust(UNSURE)
    woken = means("bedside log", outcome="understood", woken=True)
    assert decide(evidence(meaning(woken))).outcome == "not_understood"


def test_a_note_and_the_wake_phrase_are_handed_on(trust: Trust) -> None:
    trust(SURE)
    note = means("bedside log note he slept", {"action": "note"}, note="he slept", woken=True)
    found = decide(evidence(meaning(note)))
    assert (found.note, found.woken) == ("he slept", True)


PARSES = st.sampled_from([DROPS, THIRTEEN, THICK, THIN, means("mumble"), means("no", blocked=True)])


@given(
    masked=st.lists(st.tuples(PARSES, st.floats(-60, 0)), max_size=3),
    free=PARSES,
    score=st.floats(-60, 0),
    prominence=st.floats(0, 60),
)
def test_whatever_was_found_nothing_is_made_up(
    masked: list[tuple[object, float]], free: object, score: float, prominence: float
) -> None:
    """With the real confidence: what is stored was the first meaning, in full, and sure."""
    found: Evidence = evidence(
        *(
            meaning(parse, at)  # type: ignore[arg-type]
            for parse, at in sorted(masked, key=lambda pair: -pair[1])
            if parse.outcome != "not_understood"  # type: ignore[attr-defined]
        ),
        free=free,  # type: ignore[arg-type]
        score=score,
        prominence=prominence,
    )
    decision = decide(found)
    if decision.outcome == "understood":
        assert decision.slots == found.meanings[0].parse.slots
        assert decision.confidence >= confidence().store
    elif decision.outcome == "ask":
        assert decision.alternatives
        assert decision.confidence >= confidence().ask
        for slot, value in decision.slots.items():
            assert all(table[slot] == value for table in decision.alternatives)
    else:
        assert not decision.slots
        assert not decision.alternatives
