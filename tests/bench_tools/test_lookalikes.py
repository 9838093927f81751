"""Sentences that differ in one number."""

from random import Random

from bench.lookalikes import lookalike


def test_one_number_changes_and_nothing_else() -> None:
    text = "heart rate one fifteen, sats ninety two"
    for seed in range(50):
        other = lookalike(Random(seed), text)
        assert other is not None
        pairs = zip(text.split(), other.split(), strict=True)
        changed = [(one, two) for one, two in pairs if one != two]
        assert len(changed) == 1
        assert changed[0][0] in {"fifteen,", "ninety"}
        assert changed[0][1].endswith(",") == changed[0][0].endswith(",")


def test_a_teen_mostly_becomes_its_ten() -> None:
    others = [lookalike(Random(seed), "pressure fifty") for seed in range(200)]
    assert 100 < others.count("pressure fifteen") < 180
    assert "pressure fifty" not in others


def test_without_a_number_there_is_none() -> None:
    assert lookalike(Random(1), "white and thick, that one went well") is not None
    assert lookalike(Random(1), "white and thick") is None
