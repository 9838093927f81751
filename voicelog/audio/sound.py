"""What sound is made of here: float32 mono samples in [-1, 1] and their rate."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]
"""One-dimensional float32 samples, nominally within [-1, 1]."""

RATE = 16_000
"""Samples per second of everything that is listened to."""

WINDOW = 512
"""Samples in one window: the only length the voice detector takes at 16 kHz."""

WINDOW_MS = WINDOW * 1000 // RATE
"""Milliseconds in one window (32)."""


@dataclass(frozen=True, eq=False)
class Sound:
    """Something to be played: float32 mono samples and their rate in samples per second."""

    samples: Samples
    rate: int

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return len(self.samples) / self.rate


def silence(seconds: float, rate: int = RATE) -> Sound:
    """Return digital silence of the given length."""
    return Sound(np.zeros(round(seconds * rate), dtype=np.float32), rate)


def resampled(sound: Sound, rate: int) -> Sound:
    """Return the sound at another rate, unchanged when it already has that rate."""
    if sound.rate == rate:
        return sound
    import soxr

    return Sound(soxr.resample(sound.samples, sound.rate, rate).astype(np.float32), rate)


def level_db(samples: Samples) -> float:
    """Return the root-mean-square level in decibels below full scale, at least -120."""
    power = float(np.mean(np.square(samples, dtype=np.float64))) if len(samples) else 0.0
    return 10 * float(np.log10(max(power, 1e-12)))
