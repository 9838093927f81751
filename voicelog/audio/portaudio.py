"""The door to sound devices: loads PortAudio when it is first needed and lists what is there."""

from dataclasses import dataclass
from types import ModuleType
from typing import Any

from voicelog.errors import VoicelogError


class PortAudioMissingError(VoicelogError, OSError):
    """The library that reaches sound devices is not installed (Linux)."""

    def __init__(self) -> None:
        super().__init__(
            "The sound library libportaudio2 is missing: run 'sudo apt install libportaudio2'."
        )


@dataclass(frozen=True)
class Device:
    """One microphone or speaker.

    Args:
        index: its number, to choose it by.
        name: what the system calls it.
        channels: how many it has.
        rate: samples per second that it prefers.
        default: whether the system uses it when none is chosen.

    """

    index: int
    name: str
    channels: int
    rate: int
    default: bool


@dataclass(frozen=True)
class Devices:
    """All sound devices, and one plain sentence with the fix when they cannot be used."""

    microphones: tuple[Device, ...] = ()
    speakers: tuple[Device, ...] = ()
    problem: str | None = None

    @property
    def ok(self) -> bool:
        """Whether there is something to listen with and something to speak with."""
        return self.problem is None


def portaudio() -> ModuleType:
    """Return the sounddevice module.

    Raises:
        PortAudioMissingError: the PortAudio library is not there.

    """
    try:
        import sounddevice
    except OSError as error:
        raise PortAudioMissingError from error
    module: ModuleType = sounddevice
    return module


def devices() -> Devices:
    """Return what there is; never raises, every failure is in ``problem``."""
    try:
        sound: Any = portaudio()
        found = list(sound.query_devices())
        chosen = tuple(sound.default.device)
    except VoicelogError as error:
        return Devices(problem=str(error))
    except Exception as error:  # noqa: BLE001  (host drivers fail in ways of their own)
        return Devices(problem=f"The sound devices cannot be listed ({error}): plug them in again.")
    microphones = _of_kind(found, "max_input_channels", chosen[0])
    speakers = _of_kind(found, "max_output_channels", chosen[1])
    problem = None
    if not microphones:
        problem = "There is no microphone: plug one in."
    elif not speakers:
        problem = "There is no speaker: plug one in."
    return Devices(microphones, speakers, problem)


def refresh() -> None:
    """Look for devices again, as after one was plugged in; no stream may be open.

    Raises:
        PortAudioMissingError: the PortAudio library is not there.

    """
    sound: Any = portaudio()
    sound._terminate()
    sound._initialize()


def _of_kind(found: list[Any], channels: str, chosen: int) -> tuple[Device, ...]:
    return tuple(
        Device(
            index=int(device["index"]),
            name=str(device["name"]),
            channels=int(device[channels]),
            rate=round(device["default_samplerate"]),
            default=device["index"] == chosen,
        )
        for device in found
        if device[channels] > 0
    )
