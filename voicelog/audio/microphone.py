"""Listens to a microphone."""

import queue
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import soxr

from voicelog.audio.portaudio import portaudio
from voicelog.audio.sound import RATE, WINDOW, WINDOW_MS, Samples
from voicelog.audio.source import Block
from voicelog.errors import VoicelogError

STALL_S = 2.0
"""A microphone that gives nothing for this long is gone."""

BACKLOG = 1000
"""Pieces that may wait to be taken (about half a minute) before new ones are lost."""

LATEST_S = 0.5
"""No driver holds sound back for longer; what some claim beyond is not believed."""


class NoMicrophoneError(VoicelogError, LookupError):
    """The system has no microphone at all."""

    def __init__(self) -> None:
        super().__init__("There is no microphone: plug one in and start again.")


class MicrophoneUnknownError(VoicelogError, LookupError):
    """The microphone asked for is not there."""

    def __init__(self, device: int | str) -> None:
        super().__init__(
            f"There is no microphone '{device}': run 'voicelog check' to see which there are."
        )


class MicrophoneUnavailableError(VoicelogError, OSError):
    """The microphone is there but cannot be opened."""

    def __init__(self, reason: str) -> None:
        super().__init__(
            f"The microphone cannot be used ({reason}): close other programs that use it."
        )


class MicrophoneLostError(VoicelogError, OSError):
    """The microphone stopped giving sound."""

    def __init__(self) -> None:
        super().__init__("The microphone stopped: check its plug.")


@dataclass(frozen=True, eq=False)
class _Piece:
    samples: Samples
    at: float
    lost: bool


class MicrophoneSource:
    """Blocks from a microphone, at 16 kHz whatever its own rate is.

    Args:
        device: number or part of the name, None for the system's choice.
        stall_s: seconds without sound after which the microphone counts as gone.

    Raises:
        PortAudioMissingError: the library that reaches devices is missing.
        NoMicrophoneError, MicrophoneUnknownError: none, or not the one asked for.

    """

    def __init__(self, device: int | str | None = None, *, stall_s: float = STALL_S) -> None:
        self._sound: Any = portaudio()
        self._stall_s = stall_s
        self._pieces: queue.Queue[_Piece | None] = queue.Queue(BACKLOG)
        self._overrun = False
        self._closed = False
        try:
            self._info = self._sound.query_devices(device, "input")
        except (ValueError, self._sound.PortAudioError) as error:
            if device is None:
                raise NoMicrophoneError from error
            raise MicrophoneUnknownError(device) from error

    @property
    def name(self) -> str:
        """What the system calls the microphone."""
        return str(self._info["name"])

    def clock(self) -> float:
        """Return monotonic seconds."""
        return time.monotonic()

    def close(self) -> None:
        """End the iteration; may be called from another thread."""
        self._closed = True

    def __iter__(self) -> Iterator[Block]:
        """Open the microphone and yield blocks until it is closed.

        Raises:
            MicrophoneUnavailableError: it cannot be opened.
            MicrophoneLostError: it stopped giving sound.

        """
        channels, rate = self._format()
        resampler = soxr.ResampleStream(rate, RATE, 1, dtype="float32") if rate != RATE else None
        try:
            opened = self._sound.InputStream(
                device=self._info["index"],
                channels=channels,
                samplerate=rate,
                blocksize=rate * WINDOW_MS // 1000,
                dtype="float32",
                callback=self._take,
            )
        except self._sound.PortAudioError as error:
            raise MicrophoneUnavailableError(str(error)) from error
        with opened:
            yield from self._blocks(resampler)

    def _blocks(self, resampler: Any) -> Iterator[Block]:
        rest = np.zeros(0, np.float32)
        number, lost = 0, False
        while (piece := self._next()) is not None:
            samples = piece.samples
            if resampler is not None:
                samples = resampler.resample_chunk(samples)
            rest = np.concatenate([rest, samples])
            lost = lost or piece.lost
            while len(rest) >= WINDOW:
                yield Block(rest[:WINDOW], number * WINDOW_MS, piece.at, lost)
                rest, lost = rest[WINDOW:], False
                number += 1

    def _next(self) -> _Piece | None:
        """Wait for the next piece, None once closed."""
        waited = 0.0
        while not self._closed:
            try:
                return self._pieces.get(timeout=0.1)
            except queue.Empty:
                waited += 0.1
                if waited >= self._stall_s:
                    raise MicrophoneLostError from None
        return None

    def _take(self, samples: Samples, _frames: int, times: Any, status: Any) -> None:
        """Put away what the driver hands over, on its thread: nothing slow may happen here."""
        late = min(max(times.currentTime - times.inputBufferAdcTime, 0.0), LATEST_S)
        lost = bool(status.input_overflow) or self._overrun
        mono = samples.mean(axis=1, dtype=np.float32)
        # ``late`` is the age of the first sample; the last one is younger by the block.
        at = time.monotonic() - max(late - WINDOW_MS / 1000, 0.0)
        try:
            self._pieces.put_nowait(_Piece(mono, at, lost))
            self._overrun = False
        except queue.Full:
            self._overrun = True

    def _format(self) -> tuple[int, int]:
        """Return the channels and rate to open with, the first that the device takes."""
        own = round(self._info["default_samplerate"])
        every = int(self._info["max_input_channels"])
        reason = "it takes no format"
        for channels, rate in ((1, RATE), (1, own), (every, RATE), (every, own)):
            try:
                self._sound.check_input_settings(
                    device=self._info["index"], channels=channels, dtype="float32", samplerate=rate
                )
            except self._sound.PortAudioError as error:
                reason = str(error)
            else:
                return channels, rate
        raise MicrophoneUnavailableError(reason)
