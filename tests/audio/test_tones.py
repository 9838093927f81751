"""Tones, measured by their spectrum.

The frequency ranges are those of IEC 60601-1-8, Table 4, from a secondary source.
"""

import numpy as np
import pytest

from voicelog.audio.endpoint import windows
from voicelog.audio.sound import RATE, WINDOW, Sound, level_db, resampled
from voicelog.audio.tones import KINDS, TONES, ToneKind, tone
from voicelog.audio.vad import SileroVad


def peaks(sound: Sound) -> tuple[float, list[float]]:
    """Return the fundamental and the overtones within 15 dB of the strongest component."""
    spectrum = np.abs(np.fft.rfft(sound.samples * np.hanning(len(sound.samples)), 2**16))
    hertz = np.fft.rfftfreq(2**16, 1 / sound.rate)
    inner = spectrum[1:-1]
    top = (inner > spectrum[:-2]) & (inner >= spectrum[2:]) & (inner > spectrum.max() * 10**-0.75)
    found = hertz[1:-1][top]
    lowest = float(found[0])
    overtones = [
        float(f) for f in found if f > 1.5 * lowest and abs(f / lowest - round(f / lowest)) < 0.05
    ]
    return lowest, overtones


def pulses(kind: ToneKind) -> list[Sound]:
    """Cut a tone into its pulses at the silences between them."""
    sound = tone(kind)
    whole, gap = (round(s * sound.rate) for s in (TONES[kind].seconds, TONES[kind].gap))
    starts = range(0, len(sound.samples), whole + gap)
    return [Sound(sound.samples[start : start + whole], sound.rate) for start in starts]


@pytest.mark.parametrize("kind", KINDS)
def test_each_pulse_can_be_heard_and_placed(kind: ToneKind) -> None:
    for pulse in pulses(kind):
        fundamental, overtones = peaks(pulse)
        assert 150 <= fundamental <= 1000
        harmonics = {round(f / fundamental) for f in overtones if 300 <= f <= 4000}
        assert len(harmonics) >= 4


@pytest.mark.parametrize("kind", KINDS)
def test_tones_fade_in_and_out_without_a_click(kind: ToneKind) -> None:
    for pulse in pulses(kind):
        edge = np.abs(pulse.samples[: round(0.002 * pulse.rate)])
        assert pulse.samples[0] == pulse.samples[-1] == 0
        assert edge.max() < 0.1 * np.abs(pulse.samples).max()


@pytest.mark.parametrize("kind", KINDS)
def test_tones_are_short_and_within_full_scale(kind: ToneKind) -> None:
    sound = tone(kind)
    assert 0.05 <= sound.seconds <= 0.6
    assert sound.samples.dtype == np.float32
    assert np.abs(sound.samples).max() <= 1


def test_the_clear_tone_is_clearly_louder_than_the_soft_one() -> None:
    assert level_db(pulses("clear")[0].samples) > level_db(pulses("soft")[0].samples) + 9


def test_the_clear_tone_has_two_pulses_and_the_soft_one_has_one() -> None:
    assert (len(pulses("soft")), len(pulses("clear"))) == (1, 2)


def test_the_error_tone_falls_and_the_started_tone_rises() -> None:
    first, second = (peaks(pulse)[0] for pulse in pulses("error"))
    assert first > 1.3 * second
    first, second = (peaks(pulse)[0] for pulse in pulses("started"))
    assert second > 1.25 * first


def test_no_two_tones_are_alike() -> None:
    assert len({tone(kind).samples.tobytes() for kind in KINDS}) == len(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_a_tone_is_not_taken_for_speech(kind: ToneKind) -> None:
    """However the tone falls on the detector's windows."""
    sound = resampled(tone(kind), RATE).samples
    for shift in range(0, WINDOW, 64):
        padded = np.pad(sound, (RATE + shift, RATE // 2))
        assert max(map(SileroVad(), windows(padded))) < 0.5
