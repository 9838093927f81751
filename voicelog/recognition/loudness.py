"""How far speech stands out of the noise around it."""

import numpy as np

from voicelog.recognition.protocol import RATE, Audio

FRAME = RATE // 40
CLEAN_DB = 40.0
"""More than this says nothing more."""


def prominence(audio: Audio) -> float:
    """Return how many decibels the loud frames of ``audio`` lie above its quiet ones, 0 to 40.

    Frames last 25 ms; loud is the 95th percentile of their power, quiet the 10th.
    """
    whole = len(audio) - len(audio) % FRAME
    if not whole:
        return 0.0
    power = np.mean(np.square(audio[:whole].reshape(-1, FRAME), dtype=np.float64), axis=1)
    quiet, loud = np.percentile(power, [10, 95])
    return float(np.clip(10 * np.log10((loud + 1e-12) / (quiet + 1e-12)), 0.0, CLEAN_DB))
