"""Log-mel spectrograms, as the second model was trained on them.

80 bands of Slaney's mel scale (linear to 1 kHz, logarithmic above; M. Slaney, Auditory
Toolbox, Interval Technical Report 1998-010) over 25 ms windows every 10 ms; how they are
clamped and scaled is from the model's published description (A. Radford et al., "Robust
Speech Recognition via Large-Scale Weak Supervision", 2022, section 2.2, and its MIT code).
"""

from functools import cache
from math import log

import numpy as np
from numpy.typing import NDArray

from voicelog.recognition.protocol import RATE, Audio

WINDOW, HOP, BANDS = 400, 160, 80
FLOOR = 1e-10
RANGE = 8.0
"""Powers of ten below the loudest band that are kept."""

Floats = NDArray[np.float32]


def log_mel(audio: Audio, frames: int) -> Floats:
    """Return the log-mel spectrogram of ``audio``: (80, frames), silence after its end."""
    samples = audio[: frames * HOP].astype(np.float64)
    padded = np.pad(samples, (WINDOW // 2, frames * HOP + WINDOW - len(samples)))
    if len(samples) > WINDOW // 2:  # the first window looks into a mirror
        padded[: WINDOW // 2] = samples[WINDOW // 2 : 0 : -1]
    windows = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP][:frames]
    hann = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(WINDOW) / WINDOW)
    power = np.abs(np.fft.rfft(windows * hann, axis=1)) ** 2
    logs = np.log10(np.maximum(filters() @ power.T, FLOOR))
    logs = np.maximum(logs, logs.max() - RANGE)
    scaled: Floats = ((logs + 4.0) / 4.0).astype(np.float32)
    return scaled


@cache
def filters() -> NDArray[np.float64]:
    """Return the mel filters: (80, 201), triangles of equal area from 0 to 8 kHz."""
    edges = _hertz(np.linspace(0.0, _mel(RATE / 2), BANDS + 2))
    bins = np.fft.rfftfreq(WINDOW, 1 / RATE)
    low, middle, high = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    rising = (bins - low) / (middle - low)
    falling = (high - bins) / (high - middle)
    made: NDArray[np.float64] = np.maximum(0.0, np.minimum(rising, falling)) * 2 / (high - low)
    return made


STEP_HZ, BREAK_HZ, BREAK_MEL = 200 / 3, 1000.0, 15.0
LOG_STEP = log(6.4) / 27


def _mel(hertz: float) -> float:
    if hertz < BREAK_HZ:
        return hertz / STEP_HZ
    return BREAK_MEL + log(hertz / BREAK_HZ) / LOG_STEP


def _hertz(mel: NDArray[np.float64]) -> NDArray[np.float64]:
    above = BREAK_HZ * np.exp(LOG_STEP * np.maximum(mel - BREAK_MEL, 0.0))
    return np.where(mel < BREAK_MEL, mel * STEP_HZ, above)
