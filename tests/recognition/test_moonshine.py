"""The default engine with its real model, on the demo recordings and on no speech at all."""

from functools import cache
from typing import Any

import numpy as np
import pytest

from voicelog import data
from voicelog.audio.files import read
from voicelog.grammar import Live
from voicelog.recognition.moonshine import LONGEST_SECONDS, MoonshineEngine
from voicelog.recognition.protocol import RATE, Audio, Recogniser
from voicelog.runner.recording import utterances


@cache
def late_call() -> list[Audio]:
    """Dinner with the neighbours; "Bedside log, sats ninety one"; "Bedside log, summary"."""
    return [part.audio for part in utterances(read(data.folder("demo_audio") / "late_call.flac"))]


def noise(seconds: float, level: float) -> Audio:
    made = np.random.default_rng(3).normal(0, level, round(seconds * RATE))
    return np.asarray(made, np.float32)


@pytest.mark.parametrize("live", ["idle", "open"])
def test_a_reading_is_heard(engine: MoonshineEngine, live: Live) -> None:
    found = engine.decode(late_call()[1], live)
    assert (found.outcome, found.slots, found.woken) == ("understood", {"spo2": 91}, True)
    assert found.audio_ms == round(1000 * len(late_call()[1]) / RATE)
    assert found.decode_ms > 0


def test_a_question_to_the_log_is_heard(engine: MoonshineEngine) -> None:
    assert engine.decode(late_call()[2], "idle").slots == {"action": "summary"}


@pytest.mark.parametrize("live", ["idle", "open", "asking"])
def test_talk_in_the_room_is_not(engine: MoonshineEngine, live: Live) -> None:
    found = engine.decode(late_call()[0], live)
    assert (found.outcome, found.slots, found.alternatives) == ("not_understood", {}, ())


def test_what_was_considered_is_told_best_first(engine: MoonshineEngine) -> None:
    found = engine.decode(late_call()[1])
    scores = [one.score for one in found.hypotheses[:-1]]  # the last is free speech
    assert scores == sorted(scores, reverse=True)
    assert found.hypotheses[0].text == found.text
    assert all(score <= 0 for score in scores)


def test_the_same_sound_is_heard_the_same_way(engine: MoonshineEngine) -> None:
    first, again = (engine.decode(late_call()[1]) for _ in range(2))
    assert first.model_copy(update={"decode_ms": 0}) == again.model_copy(update={"decode_ms": 0})


SOUNDLESS: dict[str, Any] = {
    "nothing": lambda: np.zeros(0, np.float32),
    "one sample": lambda: np.zeros(1, np.float32),
    "silence": lambda: np.zeros(2 * RATE, np.float32),
    "hiss": lambda: noise(2, 0.05),
    "a hum": lambda: 0.2 * np.sin(np.arange(2 * RATE, dtype=np.float32) * (2 * np.pi * 100 / RATE)),
    "a clipped roar": lambda: np.sign(noise(2, 1.0)),
}


@pytest.mark.parametrize("sound", SOUNDLESS)
def test_what_is_no_speech_is_never_stored(engine: MoonshineEngine, sound: str) -> None:
    audio = np.asarray(SOUNDLESS[sound](), np.float32)
    assert engine.decode(audio).outcome != "understood"


def test_what_is_too_long_is_heard_as_far_as_the_model_goes(engine: MoonshineEngine) -> None:
    """Nothing beyond it is ever stored: the endpointer cuts at the same length."""
    from voicelog.audio.events import FILES, LIVE

    assert max(LIVE.cap_ms, FILES.cap_ms) <= 1000 * LONGEST_SECONDS
    long = np.concatenate([np.zeros(round(LONGEST_SECONDS * RATE), np.float32), late_call()[1]])
    assert engine.decode(long).outcome != "understood"


def test_it_is_a_recogniser(engine: MoonshineEngine) -> None:
    known: Recogniser = engine
    assert known.name == "moonshine"
