"""The real voice: what is rendered is heard, whole, and kept."""

import ctypes.util
import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from voicelog.audio.endpoint import segments
from voicelog.audio.sound import RATE, Sound, level_db, resampled
from voicelog.audio.vad import SileroVad
from voicelog.voice import espeak, renderer, worker
from voicelog.voice.errors import (
    VoiceError,
    VoiceFailedError,
    VoiceMissingError,
    VoiceUnknownError,
)
from voicelog.voice.probe import probe
from voicelog.voice.settings import VoiceSettings
from voicelog.voice.speech import FileVoice, PyttsxVoice, TextVoice

BUNDLED = VoiceSettings(espeak="bundled")


@pytest.fixture(scope="module")
def voice() -> Iterator[PyttsxVoice]:
    made = PyttsxVoice(BUNDLED)
    yield made
    made.close()


def seconds_of_speech(sound: Sound) -> float:
    audio = resampled(sound, RATE).samples
    padded = np.pad(audio, (RATE // 2, RATE // 2))
    return sum(part.end_ms - part.start_ms for part in segments(padded, vad=SileroVad())) / 1000


def test_a_sentence_is_heard(voice: PyttsxVoice) -> None:
    sound = voice.say("Two passes, white, thick, three drops. Saved.")
    assert sound.samples.dtype == np.float32
    assert sound.samples.ndim == 1
    assert sound.rate == 22_050
    assert -35 < level_db(sound.samples) < -6
    assert np.abs(sound.samples).max() <= 1
    assert 2 < sound.seconds < 6


def test_the_voice_detector_takes_it_for_speech(voice: PyttsxVoice) -> None:
    sound = voice.say("Heart rate one hundred ten.")
    assert seconds_of_speech(sound) > 0.7 * sound.seconds


def test_the_second_time_comes_from_memory(
    voice: PyttsxVoice, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = voice.say("Nothing to repeat.")

    def refuse(*_: object) -> Sound:
        raise AssertionError("rendered twice")

    monkeypatch.setattr(voice._renderer, "render", refuse)
    assert voice.say("Nothing to repeat.") is first


def test_figures_and_words_sound_the_same(voice: PyttsxVoice) -> None:
    assert voice.say("Pressure 110.") is voice.say("Pressure one hundred ten.")
    assert voice.say("Oxygen 6.5 L") is voice.say("Oxygen six point five litres")


def test_every_value_has_a_sound_of_its_own(voice: PyttsxVoice) -> None:
    """A rendering that swallowed the number would make some of these alike."""
    lengths = [len(voice.say(f"Pressure {n}.").samples) for n in (10, 100, 110, 111, 117.5)]
    assert lengths == sorted(lengths)
    assert lengths[-1] > 1.5 * lengths[0]


def test_a_hundred_renderings_are_all_whole(voice: PyttsxVoice) -> None:
    """The engine's own run loop loses a sentence now and then; this must not."""
    text = "not saved. the disk is full. make some room."
    settings = (BUNDLED.rate, BUNDLED.volume)
    lengths = [len(voice._renderer.render(text, "en", *settings).samples) for _ in range(100)]
    assert max(lengths) - min(lengths) < 0.05 * 22_050


def test_a_long_text_is_whole(voice: PyttsxVoice) -> None:
    one = voice.say("This is a plain sentence with some words in it.").seconds
    assert voice.say("This is a plain sentence with some words in it. " * 20).seconds > 18 * one


def test_a_slower_rate_takes_longer_and_a_lower_volume_is_softer(voice: PyttsxVoice) -> None:
    usual = voice.say("Saved.")
    other = PyttsxVoice(BUNDLED.model_copy(update={"rate": 100, "volume": 0.4}))
    slow = other.say("Saved.")
    other.close()
    assert slow.seconds > 1.3 * usual.seconds
    assert level_db(slow.samples) < level_db(usual.samples) - 4


def test_silence_is_not_left_at_the_end(voice: PyttsxVoice) -> None:
    sound = voice.say("Saved.")
    assert np.abs(sound.samples[-round(0.06 * sound.rate) :]).max() > 0


def test_nothing_to_say_is_no_sound(voice: PyttsxVoice) -> None:
    assert len(voice.say(" ").samples) == 0


def test_an_unknown_voice_is_told_and_does_not_speak_as_another() -> None:
    voice = PyttsxVoice(BUNDLED.model_copy(update={"voice": "no-such-voice"}))
    with pytest.raises(VoiceUnknownError, match="no-such-voice"):
        voice.say("Saved.")
    voice.close()


def test_a_dead_process_is_replaced(voice: PyttsxVoice) -> None:
    voice.say("One.")
    process = voice._renderer._process
    assert process is not None
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    assert voice.say("Said after the process died.").seconds > 1


def test_fixed_sentences_are_kept_for_the_next_start(tmp_path: Path) -> None:
    texts = ["Saved.", "Not saved.", "Saved."]
    first = PyttsxVoice(BUNDLED, tmp_path / "speech")
    assert first.prerender(texts) == 2
    assert first.prerender(texts) == 0
    wanted = first.say("Not saved.")
    first.say("Heart rate 110.")
    first.close()
    assert len(list((tmp_path / "speech").iterdir())) == 2
    second = PyttsxVoice(BUNDLED, tmp_path / "speech")
    assert second.say("Not saved.").samples == pytest.approx(wanted.samples, abs=1e-4)
    assert second._renderer._process is None, "nothing had to be rendered"
    second.close()


@pytest.mark.parametrize(
    ("written", "reason"),
    [(np.zeros(22_050), "silent"), (np.full(300, 0.5), "too short"), (None, "no sound")],
)
def test_a_useless_rendering_is_refused(
    tmp_path: Path, written: np.ndarray | None, reason: str
) -> None:
    if written is not None:
        soundfile.write(tmp_path / "speech", written, 22_050, format="WAV")
    with pytest.raises(VoiceFailedError):
        renderer._checked(tmp_path / "speech", "one two three")


def test_without_a_library_the_fix_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(ctypes.util, "find_library", lambda _: None)
    with pytest.raises(VoiceMissingError, match="apt install libespeak-ng1"):
        espeak.find("system")
    monkeypatch.setitem(sys.modules, "espeakng_loader", None)
    with pytest.raises(VoiceMissingError, match="not installed"):
        espeak.find("auto")


def test_the_system_library_comes_first_and_the_bundled_one_is_the_fallback(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(ctypes.util, "find_library", lambda name: f"lib{name}.so.1")
    assert espeak.find("auto") == espeak.Espeak()
    assert espeak.find("bundled") != espeak.Espeak()
    monkeypatch.setattr(ctypes.util, "find_library", lambda _: None)
    assert espeak.find("auto") == espeak.bundled()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_the_bundled_library_is_the_only_one_loaded(voice: PyttsxVoice) -> None:
    voice.about()
    process = voice._renderer._process
    assert process is not None
    maps = Path(f"/proc/{process.pid}/maps").read_text()
    loaded = {Path(line.split()[-1]) for line in maps.splitlines() if "libespeak" in line}
    assert loaded == {Path(str(espeak.bundled().file)).resolve()}


def test_other_systems_use_their_own_voices(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "darwin")
    assert espeak.find("auto") is None


def test_an_engine_that_does_not_start_is_told(tmp_path: Path) -> None:
    broken = tmp_path / "libbroken.so"
    broken.write_bytes(b"not a library")
    made = renderer.Renderer(espeak.Espeak(broken, tmp_path))
    with pytest.raises(VoiceMissingError):
        made.about()
    made.close()


def test_an_engine_that_hangs_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    hanging = tmp_path / "hanging.py"
    hanging.write_text(
        'print(\'{"ready": true, "engine": "x", "voices": []}\', flush=True)\n'
        "import time\ntime.sleep(60)\n"
    )
    monkeypatch.setattr(worker, "__file__", str(hanging))
    monkeypatch.setattr(renderer, "SAY_S", 0.2)
    made = renderer.Renderer(None)
    with pytest.raises(VoiceFailedError, match="too long"):
        made.render("hello", "", 160, 1.0)
    assert made._process is None
    made.close()


def test_the_text_voice_collects() -> None:
    voice = TextVoice()
    assert len(voice.say("Saved.").samples) == 0
    assert voice.said == ["Saved."]
    voice.close()


def test_the_file_voice_writes_what_is_said(voice: PyttsxVoice, tmp_path: Path) -> None:
    files = FileVoice(voice, tmp_path / "out")
    files.say("Saved.")
    files.say("Not saved. The disk is full!")
    names = [path.name for path in files.written]
    assert names == ["001-saved.wav", "002-not-saved-the-disk-is-full.wav"]
    samples, rate = soundfile.read(files.written[0], dtype="float32")
    assert rate == 22_050
    assert samples == pytest.approx(voice.say("Saved.").samples, abs=1e-4)


def test_the_probe_speaks() -> None:
    status = probe(BUNDLED)
    assert status.ok
    assert status.origin == "bundled"
    assert status.engine == "espeak"
    assert status.voices > 50
    assert status.seconds > 2


def test_the_probe_never_raises() -> None:
    status = probe(BUNDLED.model_copy(update={"voice": "no-such-voice"}))
    assert not status.ok
    assert "choose another" in (status.problem or "")
    assert "xx" in (probe(VoiceSettings(language="xx")).problem or "")


def test_every_failure_is_one_plain_sentence() -> None:
    for error in (VoiceMissingError("why"), VoiceUnknownError("x"), VoiceFailedError("why")):
        assert isinstance(error, VoiceError)
        assert str(error).endswith(".")
        assert "\n" not in str(error)
