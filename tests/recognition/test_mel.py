"""The log-mel spectrogram, against Slaney's published scale and what a tone must look like."""

import numpy as np
import pytest

from voicelog.recognition.mel import BANDS, HOP, WINDOW, filters, log_mel
from voicelog.recognition.protocol import RATE


def tone(hertz: float, seconds: float = 1.0) -> np.ndarray:
    times = np.arange(round(seconds * RATE)) / RATE
    return (0.5 * np.sin(2 * np.pi * hertz * times)).astype(np.float32)


def test_the_filters_have_equal_areas() -> None:
    """Slaney's Auditory Toolbox: each triangle has unit area over frequency."""
    areas = filters().sum(axis=1) * RATE / WINDOW
    wide = areas[20:]  # the lowest are narrower than a bin, and only sampled
    assert filters().shape == (BANDS, WINDOW // 2 + 1)
    assert wide == pytest.approx(1.0, abs=0.12)


def test_the_scale_is_linear_below_a_kilohertz_and_logarithmic_above() -> None:
    """Slaney's scale: 200/3 Hz a step to 1000 Hz = step 15, then 27 steps for a factor 6.4.

    8000 Hz is step 15 + 27 ln(8) / ln(6.4) = 45.2; 81 equal parts, so 0.558 steps a band.
    """
    step = (15 + 27 * np.log(8) / np.log(6.4)) / (BANDS + 1)
    peaks = np.fft.rfftfreq(WINDOW, 1 / RATE)[filters().argmax(axis=1)]
    bins = RATE / WINDOW
    for band in (5, 15, 25):
        assert peaks[band] == pytest.approx((band + 1) * step * 200 / 3, abs=bins)
    for band in (40, 60, 75):
        expected = 1000 * 6.4 ** (((band + 1) * step - 15) / 27)
        assert peaks[band] == pytest.approx(expected, abs=bins)


@pytest.mark.parametrize("hertz", [300.0, 1000.0, 3000.0, 6000.0])
def test_a_tone_is_in_its_band(hertz: float) -> None:
    seen = log_mel(tone(hertz), 100)
    bins = np.fft.rfftfreq(WINDOW, 1 / RATE)
    band = int(seen[:, 50].argmax())
    assert abs(bins[filters()[band].argmax()] - hertz) < 0.1 * hertz + RATE / WINDOW


def test_it_is_clamped_eight_powers_of_ten_below_the_loudest() -> None:
    seen = log_mel(tone(1000.0), 200)
    assert seen.dtype == np.float32
    assert seen.shape == (BANDS, 200)
    assert seen.max() - seen.min() == pytest.approx(8 / 4, abs=1e-5)
    assert np.all(seen[:, 150] == seen.min()), "silence after the end"


def test_ten_times_louder_is_half_a_step_more() -> None:
    """Power goes with the square: two powers of ten, and a quarter step for each."""
    quiet, loud = log_mel(0.05 * tone(1000.0), 100), log_mel(0.5 * tone(1000.0), 100)
    assert loud.max() - quiet.max() == pytest.approx(0.5, abs=1e-4)


def test_nothing_is_silence() -> None:
    assert np.ptp(log_mel(np.zeros(0, np.float32), 10)) == 0


def test_what_is_too_long_is_cut() -> None:
    long = tone(500.0, 3.0)
    assert log_mel(long, 100).shape == (BANDS, 100)
    middle = slice(0, 97)  # the last windows look past the cut
    np.testing.assert_allclose(log_mel(long, 100)[:, middle], log_mel(long, 200)[:, middle])
    assert HOP * 100 == RATE
