"""How a clip reaches the microphone: a name such as ``pump10`` -> the sound heard.

Every condition is seeded by its own name and the clip's, so a clip sounds the
same in every run and for every engine.
"""

import re
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from bench import noise
from bench.sound import RATE

Change = Callable[[np.random.Generator, np.ndarray], np.ndarray]
SNRS = (20, 15, 10, 5, 0)
NAMES: tuple[str, ...] = (
    "clean",
    *(f"{kind}{snr}" for kind in ("pump", "babble") for snr in SNRS),
    "room",
    "room+pump10",
    "headset",
    "headset+pump10",
    "whisper",
    "quiet",
)


class UnknownConditionError(ValueError):
    """A condition that is not made of the known parts."""

    def __init__(self, name: str) -> None:
        super().__init__(f"Condition '{name}' is unknown: use parts such as {', '.join(NAMES)}.")


@dataclass
class Conditions:
    """Turns clips into what the microphone would hear.

    Args:
        talkers: clips from which babble is made.
    """

    talkers: Sequence[np.ndarray] = field(default_factory=list)

    def _part(self, part: str) -> Change:
        plain: dict[str, Change] = {
            "clean": lambda _, audio: audio,
            "room": noise.room,
            "whisper": noise.whisper,
            "headset": lambda _, audio: noise.headset(audio),
            # at -45 dBFS over the hiss of a cheap microphone at -75
            "quiet": lambda rng, audio: noise.mix(
                noise.quiet(audio), noise.hiss(rng, len(audio) / RATE + 1), 30.0
            ),
        }
        if part in plain:
            return plain[part]
        loud = re.fullmatch(r"(pump|babble|motor|hiss|gurgle)(-?\d+)", part)
        if loud is None:
            raise UnknownConditionError(part)
        kind, snr = loud[1], float(loud[2])

        def noisy(rng: np.random.Generator, audio: np.ndarray) -> np.ndarray:
            seconds = len(audio) / RATE + 1
            if kind == "babble":
                return noise.mix(audio, noise.babble(rng, seconds, self.talkers), snr)
            return noise.mix(audio, getattr(noise, kind)(rng, seconds), snr)

        return noisy

    def apply(self, name: str, key: str, audio: np.ndarray) -> np.ndarray:
        """``audio`` under condition ``name`` (parts joined by ``+``); ``key`` names the clip.

        Raises:
            UnknownConditionError: a part of the name is not known.
        """
        for part in name.split("+"):
            rng = np.random.default_rng(zlib.crc32(f"{key}|{part}".encode()))
            audio = self._part(part)(rng, audio)
        return audio


def snr_of(name: str) -> tuple[str, int] | None:
    """``("pump", 10)`` of ``pump10``; None where there is no single ratio."""
    loud = re.fullmatch(r"(pump|babble)(-?\d+)", name)
    return (loud[1], int(loud[2])) if loud else None
