"""The grammar in a model's words, and what is told where the model lacks some."""

from collections.abc import Callable
from functools import cache

import pytest

from voicelog.grammar import Grammar, load
from voicelog.recognition.vosk_check import VoskWordsMissingError, check
from voicelog.recognition.vosk_phrases import phrase_list
from voicelog.recognition.vosk_words import ModelWords

NOTHING: frozenset[str] = frozenset()


@cache
def korean() -> Grammar:
    return load("ko", names=("로사",))


def without(*words: str) -> Callable[[str], bool]:
    """A model that knows every word but these."""
    return lambda word: word not in words and not word.startswith(("[", "<"))


def test_a_word_is_put_together_from_the_fewest_and_longest_parts() -> None:
    has = {"많", "아요", "끈적", "한", "끈", "적한", "걸", "쭉한", "걸쭉"}.__contains__
    words = ModelWords(has, parts=True)
    assert words.spell("많아요") == ("많", "아요")
    assert words.spell("끈적한") == ("끈적", "한")
    assert words.spell("걸쭉한") == ("걸쭉", "한")
    assert words.spell("노란색") == ()
    assert words.join("많 아요 끈적 한 노란색") == "많아요 끈적한 노란색"


def test_no_word_is_put_together_where_blanks_are_fixed() -> None:
    words = ModelWords({"sa", "ts"}.__contains__, parts=False)
    assert words.spell("sats") == ()


def test_an_unknown_word_is_named_with_a_synonym(english: Grammar) -> None:
    found = check(english, ModelWords(without("vacuum", "phlegm", "nought"), parts=False))
    told = {one.word: str(one) for one in found}
    assert set(told) == {"vacuum", "phlegm", "nought"}
    assert told["phlegm"] == "'phlegm' is not a word of the speech model: say 'secretions' instead."
    assert all("instead" in line for line in told.values())
    # the synonym means the same
    instead = {one.word: one.instead for one in found}["phlegm"]
    assert english.parse(f"white {instead}").slots == english.parse("white phlegm").slots


def test_nothing_is_told_where_the_model_knows_all(english: Grammar) -> None:
    assert check(english, ModelWords(without(), parts=False)) == ()


@pytest.mark.parametrize(
    ("word", "what"),
    [
        ("twelve", "the number 12"),
        ("foul", None),
        ("bedside", "wake wake"),
        ("calm", None),
        ("emergency", None),
    ],
)
def test_what_can_no_longer_be_said_at_all_stops_the_start(
    english: Grammar, word: str, what: str | None
) -> None:
    words = ModelWords(without(word), parts=False)
    if what is None:  # said in other words
        assert [one.word for one in check(english, words)] == [word]
        return
    with pytest.raises(VoskWordsMissingError, match=f"'{word}' \\({what}\\)"):
        check(english, words)


def test_a_lost_value_is_named_with_all_its_words(english: Grammar) -> None:
    lost = {"tan", "tannish", "beige", "sand", "sandy", "fawn", "beigey"}
    assert lost <= english.vocabulary
    with pytest.raises(VoskWordsMissingError, match=r"colour tan.*grammars/en"):
        check(english, ModelWords(without(*lost), parts=False))


@pytest.mark.parametrize("language", ["en", "ko"])
def test_the_list_holds_every_word_and_only_words_of_the_model(language: str) -> None:
    grammar = load(language) if language == "en" else korean()
    words = ModelWords(without("phlegm", "vacuum"), parts=language == "ko")
    listed = {word for line in phrase_list(grammar, words, NOTHING) for word in line.split()}
    assert not {"phlegm", "vacuum"} & listed
    asked_only = set()
    for phrase in grammar.phrases:
        if phrase.asked or phrase.hole == "{text}":
            asked_only |= phrase.words
    missing = grammar.vocabulary - listed - {"phlegm", "vacuum"} - asked_only
    assert not missing, sorted(missing)[:20]


def test_blockers_are_listed_so_that_a_not_is_heard(english: Grammar) -> None:
    listed = set(phrase_list(english, ModelWords(without(), parts=False), NOTHING))
    assert set(english.spec.language.blockers) <= listed


def test_a_bare_value_is_listed_only_where_it_was_asked_for() -> None:
    words = ModelWords(without(), parts=True)
    plain = set(phrase_list(korean(), words, NOTHING))
    asked = set(phrase_list(korean(), words, frozenset({"answer"})))
    assert "맞아요" not in plain
    assert "맞아요" in asked


def test_the_model_s_own_word_for_the_unknown_is_listed() -> None:
    words = ModelWords(lambda word: word not in ("<UNK>", "<unk>", "[noise]"), parts=True)
    assert phrase_list(korean(), words, NOTHING)[-2:] == ["[unk]", "<SPOKEN_NOISE>"]


def test_the_list_is_the_same_at_every_start(english: Grammar) -> None:
    words = ModelWords(without(), parts=False)
    assert phrase_list(english, words, NOTHING) == phrase_list(english, words, NOTHING)


@pytest.mark.parametrize("seed", range(3))
def test_what_is_said_in_parts_is_parsed_whole(seed: int) -> None:
    from random import Random

    grammar, rng = korean(), Random(seed)
    words = ModelWords(lambda word: len(word) <= 2 and not word.startswith("["), parts=True)
    for _ in range(40):
        said, slots = grammar.sample(rng, most=1)
        parts = " ".join(" ".join(words.spell(word)) for word in said.replace(",", "").split())
        got = grammar.parse(words.join(parts))
        assert got.slots == slots or slots in got.alternatives, (said, parts, got.slots)
