"""How far speech stands out of the noise around it."""

import numpy as np
from numpy.typing import NDArray

from voicelog.recognition.protocol import RATE, Audio

FRAME = RATE // 40
CLEAN_DB = 40.0
"""More than this says nothing more."""


SPEECH = 0.4
"""Of the way, in decibels, from the quiet frames to the loud ones: there speech begins."""


def prominence(audio: Audio) -> float:
    """Return how many decibels the loud frames of ``audio`` lie above its quiet ones, 0 to 40.

    Frames last 25 ms; loud is the 95th percentile of their power, quiet the 10th.
    """
    power = _power(audio)
    if not len(power):
        return 0.0
    quiet, loud = np.percentile(power, [10, 95])
    return float(np.clip(loud - quiet, 0.0, CLEAN_DB))


def lasting(audio: Audio) -> float:
    """Return the seconds from the first frame with speech to the last."""
    power = _power(audio)
    if not len(power):
        return 0.0
    quiet, loud = np.percentile(power, [10, 95])
    speech = np.flatnonzero(power > quiet + SPEECH * (loud - quiet))
    return float(speech[-1] - speech[0] + 1) * FRAME / RATE if len(speech) else 0.0


def _power(audio: Audio) -> NDArray[np.float64]:
    """Return the power of each frame in decibels."""
    whole = len(audio) - len(audio) % FRAME
    frames = audio[:whole].reshape(-1, FRAME)
    power = np.mean(np.square(frames, dtype=np.float64), axis=1)
    return np.asarray(10 * np.log10(power + 1e-12), np.float64)
