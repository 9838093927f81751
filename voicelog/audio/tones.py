"""Short sounds that need no words.

Each pulse has a fundamental of 150 to 1000 Hz and at least four harmonics between 300
and 4000 Hz, as IEC 60601-1-8, Table 4, asks of alarm signals so that they can be heard
and placed in a room (known from a secondary source, not from the standard itself).
They are not alarms: no burst has more than two pulses.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, get_args

import numpy as np

from voicelog.audio.sound import Samples, Sound

ToneKind = Literal["listening", "started", "soft", "clear", "error"]
KINDS: tuple[ToneKind, ...] = get_args(ToneKind)

RATE = 22_050
HARMONICS = (1.0, 0.7, 0.5, 0.35, 0.25, 0.15)
"""Strength of the fundamental and of the harmonics above it."""


@dataclass(frozen=True)
class Pulses:
    """One tone.

    Args:
        hertz: fundamental of each pulse, in order.
        seconds: length of each pulse.
        level: peak, 1 is full scale.
        gap: seconds between pulses.
        fade: seconds that a pulse takes to rise and to fall.

    """

    hertz: tuple[float, ...]
    seconds: float
    level: float
    gap: float = 0.06
    fade: float = 0.015


TONES: dict[ToneKind, Pulses] = {
    "listening": Pulses((587.0,), 0.09, 0.25),
    "started": Pulses((523.0, 698.0), 0.09, 0.25),
    "soft": Pulses((440.0,), 0.18, 0.2, fade=0.04),
    "clear": Pulses((660.0, 660.0), 0.16, 0.8, gap=0.1),
    "error": Pulses((660.0, 440.0), 0.2, 0.5),
}
"""``soft`` comes shortly before a pass must end and ``clear`` when it must."""


@lru_cache(maxsize=len(TONES))
def tone(kind: ToneKind) -> Sound:
    """Return a tone at 22 050 samples per second."""
    pulses = TONES[kind]
    gap = np.zeros(round(pulses.gap * RATE), np.float32)
    parts: list[Samples] = []
    for hertz in pulses.hertz:
        parts += [_pulse(hertz, pulses), gap]
    return Sound(np.concatenate(parts[:-1]), RATE)


def _pulse(hertz: float, pulses: Pulses) -> Samples:
    times = np.arange(round(pulses.seconds * RATE)) / RATE
    wave = np.zeros(len(times))
    for number, strength in enumerate(HARMONICS, 1):
        wave += strength * np.sin(2 * np.pi * hertz * number * times)
    edge = np.minimum(times, times[::-1]) / pulses.fade
    shaped = wave * np.sin(np.clip(edge, 0, 1) * np.pi / 2) ** 2
    scaled: Samples = (shaped * pulses.level / np.max(np.abs(shaped))).astype(np.float32)
    return scaled
