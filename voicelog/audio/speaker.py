"""Plays sounds: aloud, to nowhere, or into a file."""

import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import soundfile

from voicelog.audio.portaudio import portaudio
from voicelog.audio.sound import Samples, Sound, resampled
from voicelog.errors import VoicelogError

PATIENCE_S = 3.0
"""A speaker that is this much later than the sound is long is gone."""


class NoSpeakerError(VoicelogError, LookupError):
    """The system has no speaker, or not the one asked for."""

    def __init__(self) -> None:
        super().__init__("There is no speaker: plug one in, or run 'voicelog check'.")


class SpeakerLostError(VoicelogError, OSError):
    """The speaker cannot be opened, or stopped playing."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"The speaker does not play ({reason}): check its plug.")


class Speaker(Protocol):
    """Plays one sound at a time."""

    def play(self, sound: Sound, *, gain: float = 1.0) -> bool:
        """Play to the end, ``gain`` times as loud; return False when stopped before."""
        ...

    def stop(self) -> None:
        """Make a sound that is being played end now; for other threads."""
        ...

    def close(self) -> None:
        """Let go of the device."""
        ...


class LoudSpeaker:
    """Plays aloud through one stream that stays open, so that a tone comes at once.

    Args:
        device: number or part of the name, None for the system's choice.
        lead_s: silence before each sound, for speakers that wake up slowly.

    Raises:
        PortAudioMissingError: the library that reaches devices is missing.
        NoSpeakerError: there is no such speaker.

    """

    def __init__(self, device: int | str | None = None, *, lead_s: float = 0.1) -> None:
        self._sound: Any = portaudio()
        self._lead_s = lead_s
        self._stream: Any = None
        self._waiting: Samples = np.zeros(0, np.float32)
        self._done = threading.Event()
        self._stopped = threading.Event()
        self._turn = threading.Lock()
        self._guard = threading.Lock()
        try:
            self._info = self._sound.query_devices(device, "output")
        except (ValueError, self._sound.PortAudioError) as error:
            raise NoSpeakerError from error

    def play(self, sound: Sound, *, gain: float = 1.0) -> bool:
        """Play to the end, until the last sample has left the speaker.

        Returns:
            False when :meth:`stop` was called meanwhile.

        Raises:
            SpeakerLostError: it cannot be opened, or stopped playing.

        """
        if not len(sound.samples):
            return True
        with self._turn:
            rate, latency = self._open()
            samples = np.clip(resampled(sound, rate).samples * gain, -1, 1)
            lead = np.zeros(round(self._lead_s * rate), np.float32)
            self._stopped.clear()
            with self._guard:
                self._waiting = np.concatenate([lead, samples])
                self._done.clear()
            if not self._done.wait(self._lead_s + sound.seconds + latency + PATIENCE_S):
                self._drop()
                raise SpeakerLostError("it takes no more sound")
            time.sleep(latency)
            return not self._stopped.is_set()

    def stop(self) -> None:
        """Make what is being played end now."""
        self._stopped.set()
        with self._guard:
            self._waiting = np.zeros(0, np.float32)

    def close(self) -> None:
        """Close the stream after the sound that is being played."""
        with self._turn:
            self._drop()

    def _open(self) -> tuple[int, float]:
        rate = round(self._info["default_samplerate"])
        if self._stream is None:
            try:
                self._stream = self._sound.OutputStream(
                    device=self._info["index"],
                    channels=1,
                    samplerate=rate,
                    dtype="float32",
                    latency="low",
                    callback=self._give,
                )
                self._stream.start()
            except self._sound.PortAudioError as error:
                self._drop()
                raise SpeakerLostError(str(error)) from error
        return rate, float(self._stream.latency)

    def _drop(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.abort(ignore_errors=True)
            stream.close(ignore_errors=True)

    def _give(self, out: Samples, frames: int, _times: Any, _status: Any) -> None:
        """Hand samples to the driver, on its thread; silence when there are none."""
        with self._guard:
            part, self._waiting = self._waiting[:frames], self._waiting[frames:]
            if not len(self._waiting):
                self._done.set()
        out[: len(part), 0] = part
        out[len(part) :, 0] = 0


@dataclass
class NullSpeaker:
    """Plays to nowhere and collects the sounds.

    Args:
        realtime: take as long as the sound lasts.

    """

    realtime: bool = False
    played: list[Sound] = field(default_factory=list)
    _stopped: threading.Event = field(default_factory=threading.Event)

    def play(self, sound: Sound, *, gain: float = 1.0) -> bool:
        """Keep the sound; return False when stopped before its end."""
        self._stopped.clear()
        self.played.append(Sound((sound.samples * gain).astype(np.float32), sound.rate))
        return not (self.realtime and self._stopped.wait(sound.seconds))

    def stop(self) -> None:
        """Make the sound that is being played end now."""
        self._stopped.set()

    def close(self) -> None:
        """Do nothing."""


class FileSpeaker:
    """Writes all sounds, one after another, into one WAV file.

    Args:
        path: the file; one that is there is replaced.
        rate: samples per second of the file.

    """

    def __init__(self, path: Path | str, rate: int = 22_050) -> None:
        self._file = soundfile.SoundFile(path, "w", rate, 1, format="WAV")

    def play(self, sound: Sound, *, gain: float = 1.0) -> bool:
        """Append the sound."""
        samples = resampled(sound, self._file.samplerate).samples
        self._file.write(np.clip(samples * gain, -1, 1))
        return True

    def stop(self) -> None:
        """Do nothing: writing takes no time."""

    def close(self) -> None:
        """Finish the file."""
        self._file.close()
