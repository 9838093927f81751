"""Whatever the mask lets the decoder write, the parser accepts."""

from random import Random

import pytest

from voicelog.grammar import Grammar
from voicelog.recognition.masks import Masks, PartMasks
from voicelog.recognition.prepare import shipped_folder
from voicelog.recognition.vocabulary import END, Vocabulary, read_pieces

SIZE = 32768


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return Vocabulary(read_pieces(shipped_folder() / "tokenizer.bin"), SIZE)


@pytest.fixture(scope="module")
def parts(vocabulary: Vocabulary, english: Grammar) -> PartMasks:
    return PartMasks(vocabulary, english.mask)


def walk(masks: Masks, rng: Random) -> tuple[int, ...]:
    """Write a random sentence that the mask allows."""
    state, text = masks.first, []
    for _ in range(80):
        allowed = masks.allowed(state).tolist()
        if END in allowed and rng.random() < 0.5:
            return tuple(text)
        text.append(rng.choice([token for token in allowed if token != END]))
        state = masks.after(state, text[-1])
    return ()


@pytest.mark.parametrize("live", ["open", "idle"])
def test_parser_accepts_what_the_mask_allows(
    parts: PartMasks, english: Grammar, vocabulary: Vocabulary, live: str
) -> None:
    masks = Masks(parts, live, frozenset(), most_others=0)  # type: ignore[arg-type]
    rng = Random(11)
    texts = {vocabulary.text(walk(masks, rng)) for _ in range(400)} - {""}
    assert len(texts) > 150
    refused = [
        text
        for text in texts
        if english.parse(text, live, strict=True).outcome == "not_understood"  # type: ignore[arg-type]
    ]
    assert refused == []


def test_mask_allows_sentences_the_grammar_generates(
    parts: PartMasks, english: Grammar, vocabulary: Vocabulary
) -> None:
    masks = Masks(parts, "open", frozenset(), most_others=0)
    rng = Random(5)
    for _ in range(200):
        text, _ = english.sample(rng)
        state = masks.first
        for token in vocabulary(f" {text}"):
            assert token in masks.allowed(state), (text, vocabulary.pieces[token])
            state = masks.after(state, token)
        assert END in masks.allowed(state), text


def test_no_slot_is_said_twice(parts: PartMasks, vocabulary: Vocabulary) -> None:
    masks = Masks(parts, "open", frozenset())
    state = masks.first
    first, second = vocabulary(" Pressure 110"), vocabulary(". Pressure 110")
    for token in first:
        state = masks.after(state, token)
    assert "pressure_mmhg" in {place.part for place in state}
    for token in second:
        state = masks.after(state, token)
    assert "pressure_mmhg" not in {place.part for place in state}


def test_idle_begins_with_the_wake_phrase_or_a_start_word(
    parts: PartMasks, vocabulary: Vocabulary
) -> None:
    masks = Masks(parts, "idle", frozenset())
    first = {vocabulary.pieces[n].strip().lower() for n in masks.allowed(masks.first)}
    assert any(b"bedside".startswith(piece) for piece in first if piece)
    assert b"white" not in first


def test_a_bare_value_counts_only_when_asked(parts: PartMasks, vocabulary: Vocabulary) -> None:
    asked = Masks(parts, "open", frozenset({"passes"}), most_others=0)
    plain = Masks(parts, "open", frozenset(), most_others=0)
    state_asked, state_plain = asked.first, plain.first
    for token in vocabulary(" two"):
        state_asked = asked.after(state_asked, token)
        state_plain = plain.after(state_plain, token)
    assert END in asked.allowed(state_asked)
    assert END not in plain.allowed(state_plain)
