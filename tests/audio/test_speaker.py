"""Playing sounds aloud (on a driver in memory), to nowhere, and into a file."""

import threading
import time
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.audio.fakes import FakeSound
from voicelog.audio import speaker as module
from voicelog.audio.sound import Sound, resampled, silence
from voicelog.audio.speaker import (
    FileSpeaker,
    LoudSpeaker,
    NoSpeakerError,
    NullSpeaker,
    SpeakerLostError,
)


def beep(seconds: float = 0.2, rate: int = 48_000, level: float = 0.5) -> Sound:
    times = np.arange(round(seconds * rate)) / rate
    return Sound((level * np.sin(2 * np.pi * 500 * times)).astype(np.float32), rate)


def heard(sound: FakeSound) -> np.ndarray:
    """Return what came out of the speaker, without the silence around it."""
    joined = np.concatenate(sound.played)
    assert not np.isnan(joined).any(), "the driver was given less than it asked for"
    loud = np.flatnonzero(joined)
    return joined[loud[0] : loud[-1] + 1] if len(loud) else joined[:0]


def test_a_sound_is_played_whole(sound: FakeSound) -> None:
    loud = LoudSpeaker(lead_s=0)
    assert loud.play(beep())
    loud.close()
    assert heard(sound) == pytest.approx(np.trim_zeros(beep().samples), abs=1e-6)


def test_sounds_follow_one_another_on_one_open_stream(sound: FakeSound) -> None:
    loud = LoudSpeaker(lead_s=0)
    for _ in range(3):
        assert loud.play(beep(0.05))
    loud.close()
    assert len(sound.opened) == 1
    energy = float(np.sum(np.concatenate(sound.played) ** 2))
    assert energy == pytest.approx(3 * float(np.sum(beep(0.05).samples ** 2)), rel=1e-3)


def test_another_rate_is_resampled_and_the_gain_applied(sound: FakeSound) -> None:
    loud = LoudSpeaker("USB", lead_s=0)
    loud.play(beep(rate=22_050), gain=0.5)
    loud.close()
    assert sound.opened[0]["samplerate"] == 44_100
    assert np.abs(heard(sound)).max() == pytest.approx(0.25, rel=0.05)
    assert len(heard(sound)) == pytest.approx(0.2 * 44_100, rel=0.02)


def test_silence_comes_first_for_speakers_that_wake_up_slowly(sound: FakeSound) -> None:
    loud = LoudSpeaker(lead_s=0.1)
    loud.play(Sound(np.full(480, 0.5, np.float32), 48_000))
    loud.close()
    assert np.flatnonzero(np.concatenate(sound.played))[0] >= 4800


def test_a_sound_can_be_stopped(sound: FakeSound) -> None:
    sound.pace = 0.01
    loud = LoudSpeaker(lead_s=0)
    long = beep(5)
    timer = threading.Timer(0.4, loud.stop)
    timer.start()
    started = time.monotonic()
    assert not loud.play(long)
    assert time.monotonic() - started < 4
    timer.join()
    assert loud.play(beep(0.05)), "the next sound is played again"
    loud.close()


def test_too_loud_is_clipped(sound: FakeSound) -> None:
    loud = LoudSpeaker(lead_s=0)
    loud.play(beep(level=0.9), gain=3)
    loud.close()
    assert np.abs(heard(sound)).max() <= 1


def test_nothing_to_play_opens_nothing(sound: FakeSound) -> None:
    assert LoudSpeaker().play(silence(0))
    assert sound.opened == []


def test_no_speaker(sound: FakeSound) -> None:
    with pytest.raises(NoSpeakerError, match="plug one in"):
        LoudSpeaker("Hall")
    sound.devices = []
    with pytest.raises(NoSpeakerError):
        LoudSpeaker()


def test_a_speaker_that_cannot_be_opened(sound: FakeSound) -> None:
    sound.busy = True
    loud = LoudSpeaker()
    with pytest.raises(SpeakerLostError, match="Device unavailable"):
        loud.play(beep())
    sound.busy = False
    assert loud.play(beep(0.01)), "it is tried again"
    loud.close()


def test_a_speaker_that_stops_taking_sound(
    sound: FakeSound, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "PATIENCE_S", 0.05)
    sound.dead = True
    loud = LoudSpeaker(lead_s=0)
    with pytest.raises(SpeakerLostError, match="takes no more sound"):
        loud.play(beep(0.01))
    sound.dead = False
    monkeypatch.setattr(module, "PATIENCE_S", 3.0)
    assert loud.play(beep(0.01))
    loud.close()


def test_the_null_speaker_collects() -> None:
    speaker = NullSpeaker()
    assert speaker.play(beep(), gain=0.5)
    assert np.array_equal(speaker.played[0].samples, beep().samples * np.float32(0.5))
    speaker.close()


def test_the_null_speaker_can_take_its_time_and_be_stopped() -> None:
    speaker = NullSpeaker(realtime=True)
    started = time.monotonic()
    assert speaker.play(beep(0.1))
    assert time.monotonic() - started >= 0.1
    long = beep(10)
    timer = threading.Timer(0.4, speaker.stop)
    timer.start()
    assert not speaker.play(long)
    timer.join()


def test_the_file_speaker_writes_one_after_another(tmp_path: Path) -> None:
    speaker = FileSpeaker(tmp_path / "out.wav")
    speaker.play(beep(0.1))
    speaker.play(silence(0.2, 22_050))
    speaker.stop()
    speaker.close()
    samples, rate = soundfile.read(tmp_path / "out.wav", dtype="float32")
    wanted = resampled(beep(0.1), 22_050).samples
    assert rate == 22_050
    assert len(samples) == len(wanted) + 4410
    assert samples[: len(wanted)] == pytest.approx(wanted, abs=1e-4)
