"""Recordings in place of a microphone: the file's own time, and what must not be stored."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from tests.runner.bedroom import Bedroom, bedroom
from voicelog import data
from voicelog.audio.endpoint import Segment
from voicelog.audio.files import read
from voicelog.audio.sound import RATE, Samples
from voicelog.grammar import Grammar, Live
from voicelog.recognition.protocol import Audio, Recognition
from voicelog.runner.recording import decoded, utterances
from voicelog.runner.replay import replay, settle

TWO = Recognition(outcome="understood", slots={"passes": 2}, text="two passes", confidence=0.99)
SOUND: Samples = np.ones(RATE, np.float32)


@dataclass
class Sure:
    """A recogniser that always hears the same, and counts how often it was asked."""

    answer: Recognition = TWO
    asked: int = 0
    name: str = "sure"

    def decode(
        self, audio: Audio, live: Live = "open", expected: frozenset[str] = frozenset()
    ) -> Recognition:
        self.asked += 1
        return self.answer


@pytest.fixture
def opened(tmp_path: Path, english: Grammar) -> Iterator[Bedroom]:
    with bedroom(tmp_path / "journal.sqlite", english) as room:
        room.hear("start suction")
        yield room


@pytest.fixture(scope="module")
def speech() -> Samples:
    """Two seconds of one sentence from a demo recording, spoken without a pause."""
    sentence = next(part for part in utterances(read(data.folder("demo_audio") / "late_call.flac")))
    return sentence.audio[RATE // 2 : RATE * 5 // 2]


def test_entries_get_the_time_of_the_recording(opened: Bedroom) -> None:
    begin = opened.clock.seconds
    parts = [Segment(1000, 2000, SOUND), Segment(61_000, 62_000, SOUND)]
    answers = iter([TWO, TWO.model_copy(update={"slots": {"colour": "white"}})])

    class Each(Sure):
        def decode(
            self, audio: Audio, live: Live = "open", expected: frozenset[str] = frozenset()
        ) -> Recognition:
            return next(answers)

    replay(opened.talk, opened.clock, parts, Each())
    first, second = [row for row in opened.journal.rows() if row.entry.kind == "values"]
    assert (second.utc - first.utc).total_seconds() == pytest.approx(60, abs=0.2)
    assert opened.clock.seconds == pytest.approx(begin + 62)


def test_each_utterance_is_told_before_it_is_acted_on(opened: Bedroom) -> None:
    told: list[int] = []

    def tell(part: Segment, found: Recognition) -> None:
        assert opened.stored == []
        told.append(part.start_ms)

    replay(opened.talk, opened.clock, [Segment(500, 900, SOUND)], Sure(), tell)
    assert told == [500]
    assert opened.stored == [{"passes": 2}]


def test_a_cut_utterance_is_not_even_decoded() -> None:
    ear = Sure()
    found = decoded(Segment(0, 1000, SOUND, cut=True), ear)
    assert (found.outcome, found.slots, found.audio_ms) == ("not_understood", {}, 1000)
    assert ear.asked == 0


def test_a_cut_utterance_never_becomes_an_entry(opened: Bedroom) -> None:
    replay(opened.talk, opened.clock, [Segment(0, 1000, SOUND, cut=True)], Sure())
    settle(opened.talk, opened.clock)
    assert opened.stored == []
    assert "I didn't catch that." in opened.replies()


def test_speech_without_an_end_never_becomes_an_entry(opened: Bedroom, speech: Samples) -> None:
    """Half a minute of talk without a breath, found by the real voice detector."""
    parts = list(utterances(np.tile(speech, 15)))
    assert len(parts) == 2
    assert all(part.cut for part in parts)
    ear = Sure()
    replay(opened.talk, opened.clock, parts, ear)
    assert ear.asked == 0
    assert opened.stored == []


def test_silence_has_no_utterance() -> None:
    assert list(utterances(np.zeros(5 * RATE, np.float32))) == []
    assert list(utterances(np.zeros(0, np.float32))) == []


def test_a_short_sound_without_a_voice_is_tried_and_a_long_one_is_not() -> None:
    """A whisper may not count as a voice: the recogniser decides."""
    hiss = np.random.default_rng(1).normal(0, 0.01, 3 * RATE).astype(np.float32)
    (whole,) = utterances(hiss)
    assert (whole.start_ms, whole.end_ms, len(whole.audio)) == (0, 3000, 3 * RATE)
    assert list(utterances(np.tile(hiss, 8))) == []


def test_open_questions_run_out_when_a_recording_has_ended(opened: Bedroom) -> None:
    asking = Recognition(
        outcome="ask",
        slots={"colour": "white"},
        alternatives=({"spo2": 90}, {"spo2": 99}),
        text="in doubt",
    )
    replay(opened.talk, opened.clock, [Segment(0, 1000, SOUND)], Sure(asking))
    assert opened.stored == []
    settle(opened.talk, opened.clock)
    assert opened.stored == [{"colour": "white"}]
    assert opened.talk.state.asking is None
