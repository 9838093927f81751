"""Bedside phrases, rendered by the bundled voice, through the real detector.

The waits were chosen on such phrases in three voices: with a 900 ms wait all of 24 phrases
with pauses of 700 ms stayed whole, with 800 ms only 13 did.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.audio.test_vad import at_level, pump, room
from voicelog.audio.endpoint import Endpointer, segments
from voicelog.audio.events import LIVE, Pause, SpeechEnd
from voicelog.audio.sound import RATE, Samples, level_db, resampled
from voicelog.audio.source import FileSource
from voicelog.audio.vad import SileroVad
from voicelog.voice.settings import VoiceSettings
from voicelog.voice.speech import PyttsxVoice

PHRASES = [
    ("two passes", "white", "thick"),
    ("sats ninety one", "heart rate one ten"),
    ("four drops", "saline"),
    ("six", "drops"),
]


@pytest.fixture(scope="module")
def spoken() -> Iterator[dict[str, Samples]]:
    voice = PyttsxVoice(VoiceSettings(espeak="bundled", rate=170))
    words = {word for phrase in PHRASES for word in phrase}
    yield {word: resampled(voice.say(word), RATE).samples for word in words}
    voice.close()


def said(spoken: dict[str, Samples], phrase: tuple[str, ...], gap_s: float) -> Samples:
    gap = np.zeros(round(gap_s * RATE), np.float32)
    parts = [part for word in phrase for part in (spoken[word], gap)]
    return np.concatenate([np.zeros(RATE, np.float32), *parts[:-1], np.zeros(RATE, np.float32)])


@pytest.mark.parametrize("phrase", PHRASES)
def test_pauses_between_items_keep_a_recording_together(
    spoken: dict[str, Samples], phrase: tuple[str, ...]
) -> None:
    assert len(segments(said(spoken, phrase, 0.7))) == 1
    assert len(segments(said(spoken, phrase, 1.2))) == len(phrase)


@pytest.mark.parametrize("phrase", PHRASES)
@pytest.mark.parametrize("snr", [20, 10])
def test_speech_beside_a_running_pump_is_found_once(
    spoken: dict[str, Samples], phrase: tuple[str, ...], snr: int
) -> None:
    speech = np.concatenate([np.zeros(4 * RATE, np.float32), said(spoken, phrase, 0.3)])
    loudness = level_db(np.concatenate([spoken[word] for word in phrase]))
    (found,) = segments(speech + pump(len(speech) / RATE, loudness - snr))
    assert 4700 < found.start_ms < 5200


def test_a_whole_phrase_is_in_its_segment(spoken: dict[str, Samples]) -> None:
    """Nothing audible is left out, however softly a word begins or ends."""
    for phrase in PHRASES:
        audio = said(spoken, phrase, 0.4)
        (found,) = segments(audio)
        loud = np.flatnonzero(np.abs(audio) > 0.003)
        begin = found.start_ms * RATE // 1000 - 10 * 512
        assert begin <= loud[0]
        assert begin + len(found.audio) >= loud[-1]


def test_the_answer_is_not_kept_waiting(spoken: dict[str, Samples], tmp_path: Path) -> None:
    """Decoding may begin about 0.3 s after the last word and the end comes at about 0.6 s."""
    audio = said(spoken, PHRASES[0], 0.2)
    last_ms = int(np.flatnonzero(np.abs(audio) > 0.01)[-1]) * 1000 // RATE
    soundfile.write(tmp_path / "phrase.wav", audio, RATE)
    endpointer = Endpointer(SileroVad(), LIVE)
    told = [
        (event, endpointer.ms)
        for block in FileSource(tmp_path / "phrase.wav")
        for event in endpointer.feed(block.samples)
    ]
    pauses = [ms for event, ms in told if isinstance(event, Pause)]
    ends = [ms for event, ms in told if isinstance(event, SpeechEnd)]
    assert pauses[-1] - last_ms < 400
    assert len(ends) == 1
    assert ends[0] - last_ms < 650


def test_a_far_voice_is_found(spoken: dict[str, Samples]) -> None:
    quiet = at_level(said(spoken, PHRASES[0], 0.2), -50)
    assert len(segments(quiet + room(len(quiet) / RATE, -75))) == 1
