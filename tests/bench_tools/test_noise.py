"""The bench's noise is as loud as it says, and the same every time."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from bench import noise
from bench.sound import RATE, active_rms, level, trim


def speechlike(seconds=2.0, seed=1):
    """Bursts of filtered noise with pauses between, 40 % of the time silent."""
    rng = np.random.default_rng(seed)
    audio = rng.standard_normal(round(seconds * RATE))
    audio = signal.sosfilt(signal.butter(2, (200, 3000), "bandpass", fs=RATE, output="sos"), audio)
    gate = (np.arange(len(audio)) // 3200) % 5 < 3
    return (audio * gate * 0.1).astype(np.float32)


def rms(audio):
    return float(np.sqrt(np.mean(np.square(audio, dtype=np.float64))))


def test_active_rms_ignores_pauses():
    speech = speechlike()
    loud = speech[(np.arange(len(speech)) // 3200) % 5 < 3]
    assert active_rms(speech) == pytest.approx(rms(loud), rel=0.02)
    assert active_rms(np.pad(speech, RATE)) == pytest.approx(active_rms(speech), rel=0.02)


@settings(max_examples=25, deadline=None)
@given(snr=st.floats(-5, 30), gain=st.floats(0.01, 1.0), seed=st.integers(0, 99))
def test_mix_reaches_the_asked_ratio(snr, gain, seed):
    speech = speechlike(seed=seed) * gain
    hiss = noise.hiss(np.random.default_rng(seed), 2.5)
    both = noise.mix(speech, hiss, snr)
    hiss = hiss[: len(speech)]
    # both = s * speech + n * hiss: recover s and n by least squares, not by the formula
    found, *_ = np.linalg.lstsq(np.stack([speech, hiss], 1), both, rcond=None)
    loud = speech[(np.arange(len(speech)) // 3200) % 5 < 3]
    measured = 20 * np.log10(rms(loud) * found[0] / (rms(hiss) * found[1]))
    assert measured == pytest.approx(snr, abs=0.3)
    assert np.abs(both).max() <= 1.0


def test_mix_refuses_short_noise():
    with pytest.raises(ValueError, match="of noise for"):
        noise.mix(speechlike(2.0), np.ones(RATE, np.float32), 10)


@pytest.mark.parametrize("make", [noise.motor, noise.hiss, noise.gurgle, noise.pump])
def test_noises_repeat_with_their_seed_and_differ_without(make):
    first, again, other = (make(np.random.default_rng(s), 1.5) for s in (5, 5, 6))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)
    assert len(first) == round(1.5 * RATE)
    assert rms(first) == pytest.approx(noise.NOISE_RMS, rel=1e-3)


def test_motor_hums_at_the_mains_and_twice():
    hz, power = signal.welch(
        noise.motor(np.random.default_rng(3), 8.0, 50.0), fs=RATE, nperseg=RATE
    )
    at = {f: power[np.abs(hz - f) <= 3].sum() for f in (50, 75, 100, 125)}
    assert at[50] > 10 * at[75]
    assert at[100] > 10 * at[125]


def test_gurgling_comes_in_bursts():
    frames = noise.gurgle(np.random.default_rng(2), 10.0).reshape(-1, RATE // 10)
    loud = np.sqrt(np.mean(frames**2, axis=1))
    assert loud.max() > 5 * np.median(loud)


def test_babble_uses_many_voices():
    speech = [speechlike(1.0, seed) for seed in range(8)]
    talk = noise.babble(np.random.default_rng(1), 3.0, speech)
    assert rms(talk) == pytest.approx(noise.NOISE_RMS, rel=1e-3)
    # several streams at once leave no gap as long as one speaker's
    frames = np.sqrt(np.mean(talk.reshape(-1, 1600) ** 2, axis=1))
    assert frames.min() > 0.1 * frames.max()


def test_room_smears_sound_after_it_ends():
    click = np.zeros(RATE, np.float32)
    click[100:900] = 0.3
    wet = noise.room(np.random.default_rng(4), click, metres=1.5, rt60_s=0.5)
    tail = wet[3000:7000]
    assert rms(tail) > 10 ** (-50 / 20) * rms(wet[:3000])
    assert active_rms(wet) == pytest.approx(active_rms(click), rel=1e-3)


def test_whisper_loses_pitch_and_keeps_the_vowel():
    n = np.arange(RATE)
    buzz = (n % 133 == 0).astype(float)  # a 120 Hz voice
    pole = 0.97 * np.exp(2j * np.pi * 1200 / RATE)
    vowel = signal.lfilter([1], np.poly([pole, pole.conjugate()]).real, buzz)
    vowel = (0.1 * vowel / np.abs(vowel).max()).astype(np.float32)
    said = noise.whisper(np.random.default_rng(1), vowel)

    def periodic(audio):
        mid = audio[4000:12000]
        line = np.correlate(mid, mid, "full")[len(mid) - 1 :]
        return line[100:160].max() / line[0]

    assert periodic(vowel) > 0.9
    assert periodic(said) < 0.5
    hz, power = signal.welch(said, fs=RATE, nperseg=1024)
    assert abs(hz[power.argmax()] - 1200) < 150


def test_headset_keeps_only_the_telephone_band():
    narrow = noise.headset(noise.hiss(np.random.default_rng(1), 4.0))
    hz, power = signal.welch(narrow, fs=RATE, nperseg=1024)
    inside = power[(hz > 500) & (hz < 3000)].mean()
    assert power[hz > 4500].mean() < inside / 300
    assert power[hz < 100].mean() < inside / 100


def test_quiet_and_level_reach_their_loudness():
    speech = speechlike()
    assert active_rms(noise.quiet(speech)) == pytest.approx(10 ** (-45 / 20), rel=1e-3)
    assert active_rms(level(speech)) == pytest.approx(10 ** (-23 / 20), rel=1e-3)


def test_trim_leaves_a_margin():
    speech = np.pad(speechlike(1.0), (RATE, 2 * RATE))
    assert len(trim(speech, 0.3)) < 1.7 * RATE
    assert np.all(trim(speech, 0.3)[: int(0.29 * RATE)] == 0)
