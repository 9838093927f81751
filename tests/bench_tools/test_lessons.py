"""What the model is taught with, and what is kept from it."""

from random import Random

from bench.lessons import Writer, kept_back, mixed, older, teaches
from bench.utterances import load
from bench.voices import VOICES, Voice
from voicelog.grammar import Grammar


def test_no_lesson_is_a_test_sentence_or_one_that_is_kept_back(english: Grammar) -> None:
    barred = {u.text.lower() for u in load() if u.split == "test" or kept_back(u.text)}
    writer = Writer(english, seed=3)
    lessons = [writer.sentence() for _ in range(400)]
    assert barred.isdisjoint(text.lower() for text in lessons)
    assert len(set(lessons)) > 300


def test_only_words_of_a_kind_are_swapped(english: Grammar) -> None:
    writer = Writer(english, seed=3)
    found = {writer.varied("sats ninety four, green, a new one") for _ in range(60)}
    tens, units = writer.numbers[2], writer.numbers[0]
    for text in found:
        sats, ten, unit, colour, *rest = text.replace(",", "").split()
        assert (sats, rest) == ("sats", ["a", "new", "one"])
        assert ten in tens
        assert unit in units
        assert colour in writer.kinds["green"]
    assert len(found) > 20


def test_a_name_with_a_number_in_it_keeps_it(english: Grammar) -> None:
    writer = Writer(english, seed=3)
    assert {writer.varied("the o two is off") for _ in range(30)} == {"the o two is off"}


def test_number_lessons_have_a_teen_or_a_ten(english: Grammar) -> None:
    writer = Writer(english, seed=3)
    assert writer.counts("Sats ninety, four.")
    assert writer.counts("fifteen drops")
    assert not writer.counts("two passes, thick")


def test_a_voice_may_lie_beyond_another() -> None:
    voices = [Voice("kokoro", name, natural=True) for name in ("one", "two")]
    found = {mixed(Random(n), voices, (-0.2,)).speaker for n in range(20)}
    assert found == {"one+two*-0.2", "two+one*-0.2"}


def test_a_sheet_may_teach_nothing() -> None:
    untaught = [said for said in load() if said.split == "dev" and not said.teaches]
    assert len(untaught) > 300
    assert all(kept_back(said.text) and not teaches(said) for said in untaught)


def test_older_voices_are_many_and_none_is_held_back() -> None:
    found = {older(Random(n), []) for n in range(300)}
    held = {voice.name for voice in VOICES if voice.held_out}
    assert held.isdisjoint(voice.name for voice in found)
    assert not any("scotland" in voice.speaker or voice.natural for voice in found)
    assert {voice.engine for voice in found} == {"espeak", "flite", "festival", "pico"}
    assert len({voice.name for voice in found}) > 40
