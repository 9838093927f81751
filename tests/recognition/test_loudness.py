"""How far speech stands out of noise, on sounds whose ratio is known."""

import numpy as np
import pytest

from voicelog.recognition.loudness import CLEAN_DB, prominence
from voicelog.recognition.protocol import RATE


@pytest.mark.parametrize("decibels", [3, 10, 20, 30])
def test_a_tone_in_noise(decibels: int) -> None:
    rng = np.random.default_rng(4)
    noise = rng.standard_normal(2 * RATE)
    tone = np.sqrt(2 * 10 ** (decibels / 10)) * np.sin(np.arange(RATE) / 3)
    sound = noise.copy()
    sound[RATE // 2 : RATE // 2 + RATE] += tone
    expected = 10 * np.log10(1 + 10 ** (decibels / 10))
    assert prominence((0.01 * sound).astype(np.float32)) == pytest.approx(expected, abs=1.5)


def test_silence_around_speech_is_as_clear_as_it_gets() -> None:
    sound = np.zeros(RATE, np.float32)
    sound[4000:9000] = np.sin(np.arange(5000) / 5)
    assert prominence(sound) == CLEAN_DB


def test_nothing_has_no_prominence() -> None:
    assert prominence(np.zeros(0, np.float32)) == 0.0
    assert prominence(np.zeros(RATE, np.float32)) == 0.0
