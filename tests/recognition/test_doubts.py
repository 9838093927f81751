"""Free speech that turns the sentence round, or has another number, is believed."""

import pytest

from tests.recognition.by_hand import evidence, meaning, means
from voicelog.recognition.doubts import (
    CONTRADICTED,
    MISNUMBERED,
    STRETCHED,
    TURNED,
    contradicted,
    misnumbered,
    stretched,
    turned,
)

FOAMY = means("saw blood", {"colour": "red"})
UNSURE = means("saw no blood", blocked=True)


def test_a_word_left_out_that_turns_the_sentence_round() -> None:
    assert turned(evidence(meaning(FOAMY, -9.0), free=UNSURE, score=-1.0))


def test_it_must_be_clearly_likelier() -> None:
    assert not turned(evidence(meaning(FOAMY, -1.0 + TURNED), free=UNSURE, score=-1.0))
    assert turned(evidence(meaning(FOAMY, -1.1 + TURNED), free=UNSURE, score=-1.0))


def test_a_masked_text_with_words_of_its_own_only_sounds_like_it() -> None:
    other = means("no more saw", blocked=True)
    assert not turned(evidence(meaning(FOAMY, -9.0), free=other, score=-1.0))


def test_without_such_a_word_nothing_is_turned() -> None:
    plain = means("saw bright blood")
    assert not turned(evidence(meaning(FOAMY, -9.0), free=plain, score=-1.0))


THIRTY_TWO = means("thirty two", {"resp_rate": 32}, numbers=("thirty", "two"))


@pytest.mark.parametrize(
    ("numbers", "believed"),
    [
        (("fifty", "two"), True),
        (("thirty", "two", "two"), True),
        (("two", "thirty"), False),
        (("two",), False),
        ((), False),
    ],
    ids=str,
)
def test_a_number_that_the_masked_text_lacks(numbers: tuple[str, ...], believed: bool) -> None:
    free = means(" ".join(numbers), numbers=numbers)
    found = evidence(meaning(THIRTY_TWO, -9.0), free=free, score=-1.0)
    assert misnumbered(found) is believed


def test_a_near_text_with_another_number_may_be_a_slip() -> None:
    free = means("fifty two", numbers=("fifty", "two"))
    at = -1.0 + MISNUMBERED
    assert not misnumbered(evidence(meaning(THIRTY_TWO, at), free=free, score=-1.0))
    assert misnumbered(evidence(meaning(THIRTY_TWO, at - 0.1), free=free, score=-1.0))


def test_a_question_that_was_made_a_statement() -> None:
    stated = means("it is his heart rate one forty", {"heart_rate": 140})
    asked = means("is his heart rate one forty", blocked=True)
    assert turned(evidence(meaning(stated, -9.0), free=asked, score=-1.0))


def test_a_sentence_for_somebody_else_that_was_bent_into_an_entry() -> None:
    meant = means("give us two secs", blocked=True)
    bent = means("it was two secs", {"pass_seconds": 2})
    at = -1.0 + STRETCHED
    assert stretched(evidence(meaning(bent, at - 0.1), free=meant, score=-1.0))
    assert not stretched(evidence(meaning(bent, at), free=meant, score=-1.0))
    other = means("it was all of two secs", {"pass_seconds": 2})
    assert not stretched(evidence(meaning(other, -9.0), free=meant, score=-1.0))
    plain = means("give us two secs")
    assert not stretched(evidence(meaning(bent, -9.0), free=plain, score=-1.0))


def test_free_speech_that_means_another_entry() -> None:
    pink, thin = means("on the pink side", {"colour": "pink"}), means("thin", {"thickness": "thin"})
    at = -1.0 + CONTRADICTED
    assert contradicted(evidence(meaning(pink, at - 0.1), free=thin, score=-1.0))
    assert not contradicted(evidence(meaning(pink, at), free=thin, score=-1.0))
    assert not contradicted(evidence(meaning(pink, -9.0), free=pink, score=-1.0))
    assert not contradicted(evidence(meaning(pink, -9.0), free=means("on the"), score=-1.0))
