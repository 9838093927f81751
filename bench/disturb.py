"""The many ways in which a training clip is disturbed, none of them quite the bench's conditions.

The machine is made of the same three sounds as the bench's, but in other mixtures, at other
speeds, and half the time coloured by a filter of its own, so that the encoder learns to hear
through machines and not one machine by heart.
"""

from collections.abc import Callable, Sequence

import numpy as np
from scipy import signal

from bench import noise
from bench.sound import RATE

Rng = np.random.Generator
EDGES_HZ = (0, 200, 800, 2500, 8000)


def coloured(rng: Rng, sound: np.ndarray, most_db: float = 8) -> np.ndarray:
    """The sound through a random filter, so far up or down in each of five bands."""
    gains = 10 ** (rng.uniform(-most_db, most_db, len(EDGES_HZ)) / 20)
    taps = signal.firwin2(65, EDGES_HZ, gains, fs=RATE)
    return signal.fftconvolve(sound, taps, "same")


def machine(rng: Rng, seconds: float) -> np.ndarray:
    """A suction machine of any make."""
    if rng.random() < 0.5:
        sound = noise.pump(rng, seconds)
    else:
        parts = (
            noise.motor(rng, seconds, float(rng.uniform(45, 65))),
            noise.hiss(rng, seconds),
            noise.gurgle(rng, seconds, float(rng.uniform(3, 15))),
        )
        sound = sum(w * part for w, part in zip(rng.uniform(0, 1, 3) + 1e-3, parts, strict=True))
    return coloured(rng, sound) if rng.random() < 0.5 else sound


def _in_machine(rng: Rng, speech: np.ndarray, low: float, high: float) -> np.ndarray:
    return noise.mix(speech, machine(rng, len(speech) / RATE + 1), float(rng.uniform(low, high)))


def _often_in_machine(rng: Rng, speech: np.ndarray) -> np.ndarray:
    return speech if rng.random() < 0.5 else _in_machine(rng, speech, 5, 20)


def ways(talkers: Sequence[np.ndarray]) -> dict[Callable[[Rng, np.ndarray], np.ndarray], float]:
    """Each way and how often it is taken."""

    def babble(rng: Rng, speech: np.ndarray) -> np.ndarray:
        people = int(rng.integers(2, 8))
        talk = noise.babble(rng, len(speech) / RATE + 1, talkers, people)
        return noise.mix(speech, talk, float(rng.uniform(3, 18)))

    def quiet(rng: Rng, speech: np.ndarray) -> np.ndarray:
        soft = noise.quiet(speech, float(rng.uniform(-48, -38)))
        return noise.mix(soft, noise.hiss(rng, len(speech) / RATE + 1), float(rng.uniform(20, 32)))

    return {
        lambda rng, speech: speech: 0.12,
        lambda rng, speech: _in_machine(rng, speech, -2, 18): 0.44,
        babble: 0.12,
        lambda rng, speech: _often_in_machine(rng, noise.room(rng, speech)[: len(speech)]): 0.08,
        lambda rng, speech: _often_in_machine(rng, noise.whisper(rng, speech)): 0.12,
        quiet: 0.06,
        lambda rng, speech: _often_in_machine(rng, noise.headset(speech)): 0.06,
    }
