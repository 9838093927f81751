"""Sound devices: what is there, and the fix when they cannot be reached."""

from typing import Any

import pytest

from tests.audio.fakes import FakeSound, device
from voicelog.audio.microphone import MicrophoneSource
from voicelog.audio.portaudio import Device, PortAudioMissingError, devices, portaudio, refresh
from voicelog.audio.speaker import LoudSpeaker


@pytest.mark.usefixtures("no_library")
@pytest.mark.parametrize("use", [portaudio, MicrophoneSource, LoudSpeaker, refresh])
def test_a_missing_library_is_named_with_the_command(use: Any) -> None:
    with pytest.raises(PortAudioMissingError, match=r"sudo apt install libportaudio2"):
        use()


@pytest.mark.usefixtures("no_library")
def test_the_list_tells_of_a_missing_library_without_raising() -> None:
    found = devices()
    assert not found.ok
    assert found.problem == str(PortAudioMissingError())


def test_microphones_and_speakers_are_listed(sound: FakeSound) -> None:
    found = devices()
    assert found.ok
    assert found.microphones == (
        Device(0, "Built-in Microphone", 2, 48_000, default=True),
        Device(2, "USB headset", 1, 44_100, default=False),
    )
    assert [speaker.name for speaker in found.speakers] == ["Built-in Speaker", "USB headset"]
    assert [speaker.default for speaker in found.speakers] == [True, False]


def test_what_is_not_there_is_told(sound: FakeSound) -> None:
    sound.devices = [device(0, "Speaker", 0, 2)]
    assert "no microphone" in (devices().problem or "")
    sound.devices = [device(0, "Microphone", 1, 0)]
    assert "no speaker" in (devices().problem or "")


def test_a_driver_that_fails_is_told(sound: FakeSound, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail() -> None:
        raise RuntimeError("host error")

    monkeypatch.setattr(sound, "query_devices", fail, raising=False)
    assert "host error" in (devices().problem or "")


def test_refresh_starts_the_library_again(sound: FakeSound) -> None:
    refresh()
    assert sound.restarted == 2
