"""The sounds of a home at night, made from a seed: pump, babble, room, whisper, headset.

Everything is float32 mono at 16 kHz.  Noise generators return ``seconds`` of
noise at RMS 0.05; only ``mix`` decides how loud it is.  No recording of a real
suction machine was at hand: the pump is built from what such a machine is made
of (a mains-driven motor, an air leak, fluid in a hose), not fitted to one.
"""

from collections.abc import Sequence

import numpy as np
import pyroomacoustics
from scipy import signal
from scipy.linalg import solve_toeplitz

from bench.sound import FRAME, RATE, active_rms

Rng = np.random.Generator
NOISE_RMS = 0.05


def _scaled(audio: np.ndarray, rms: float = NOISE_RMS) -> np.ndarray:
    return (audio * rms / (np.sqrt(np.mean(np.square(audio))) + 1e-12)).astype(np.float32)


def _slow(rng: Rng, samples: int, hz: float) -> np.ndarray:
    """A random curve in about -1..1 that turns about ``hz`` times a second."""
    knots = rng.standard_normal(max(4, int(samples / RATE * hz * 2) + 4)) / 2
    at = np.linspace(0, len(knots) - 1, samples)
    return np.interp(at, np.arange(len(knots)), knots)


def motor(rng: Rng, seconds: float, mains_hz: float = 50.0) -> np.ndarray:
    """Hum at the mains frequency and its harmonics, its pitch and loudness wobbling slowly."""
    samples = round(seconds * RATE)
    speed = mains_hz * (1 + 0.02 * _slow(rng, samples, 0.7))
    phase = 2 * np.pi * np.cumsum(speed) / RATE
    hum = np.zeros(samples)
    for harmonic in range(1, 41):  # up to 2 kHz: brushes and gears buzz, they do not sing
        even = 1.6 if harmonic % 2 == 0 else 1.0  # a mains motor shakes at twice the mains
        gain = even * harmonic**-0.8 * rng.uniform(0.5, 1.0)
        hum += gain * np.sin(harmonic * phase + rng.uniform(0, 2 * np.pi))
    return _scaled(hum * (1 + 0.25 * _slow(rng, samples, 2.0)))


def hiss(rng: Rng, seconds: float) -> np.ndarray:
    """Air drawn through a hose: white noise with a broad hump near 1.5 kHz."""
    white = rng.standard_normal(round(seconds * RATE))
    hump = signal.sosfilt(signal.butter(1, (500, 3500), "bandpass", fs=RATE, output="sos"), white)
    return _scaled(hump + 0.15 * white)


def gurgle(rng: Rng, seconds: float, per_second: float = 9.0) -> np.ndarray:
    """Fluid in the hose: clusters of short falling and rising bubbles, with gaps between."""
    samples = round(seconds * RATE)
    out = np.zeros(samples + RATE)
    wet = _slow(rng, samples, 0.8)
    for start in rng.integers(0, samples, rng.poisson(per_second * seconds * 2)):
        if wet[start] < 0:
            continue
        length = round(rng.uniform(0.015, 0.06) * RATE)
        t = np.arange(length) / RATE
        low, rise = rng.uniform(250, 900), rng.uniform(-3000, 9000)
        bubble = np.sin(2 * np.pi * (low * t + rise * t**2 / 2)) * np.exp(-t * 4 / t[-1])
        rough = 0.4 * rng.standard_normal(length) * np.exp(-t * 6 / t[-1])
        out[start : start + length] += rng.uniform(0.3, 1.0) * (bubble + rough)
    return _scaled(out[:samples])


def pump(rng: Rng, seconds: float) -> np.ndarray:
    """A suction machine at work: motor, hiss and bursts of gurgling."""
    mains = float(rng.choice([50.0, 60.0]))
    weights = rng.uniform((0.7, 0.5, 0.3), (1.0, 1.0, 0.9))
    parts = (motor(rng, seconds, mains), hiss(rng, seconds), gurgle(rng, seconds))
    return _scaled(sum(w * p for w, p in zip(weights, parts, strict=True)))


def babble(rng: Rng, seconds: float, speech: Sequence[np.ndarray], voices: int = 6) -> np.ndarray:
    """Other people talking: ``voices`` streams of clips joined end to end."""
    samples = round(seconds * RATE)
    out = np.zeros(samples)
    for _ in range(voices):
        stream: list[np.ndarray] = []
        while sum(map(len, stream)) < 2 * samples:
            clip = speech[rng.integers(len(speech))]
            stream.append(clip / active_rms(clip))
        joined = np.concatenate(stream)
        start = rng.integers(0, len(joined) - samples + 1)
        out += rng.uniform(0.5, 1.0) * joined[start : start + samples]
    return _scaled(out)


def mix(speech: np.ndarray, noise: np.ndarray, snr_db: float) -> np.ndarray:
    """Speech in noise, ``snr_db`` being speech-active RMS over noise RMS.

    Noise shorter than the speech is refused; the result is scaled down as a
    whole if it would clip, which keeps the ratio.

    Raises:
        ValueError: the noise is shorter than the speech.
    """
    if len(noise) < len(speech):
        raise ValueError(f"{len(noise)} samples of noise for {len(speech)} of speech")
    noise = noise[: len(speech)]
    noise_rms = float(np.sqrt(np.mean(np.square(noise, dtype=np.float64))))
    both = speech + noise * (active_rms(speech) / noise_rms * 10 ** (-snr_db / 20))
    return (both * min(1.0, 0.99 / (np.abs(both).max() + 1e-9))).astype(np.float32)


def room(rng: Rng, speech: np.ndarray, metres: float = 1.5, rt60_s: float = 0.5) -> np.ndarray:
    """Speech ``metres`` from the microphone in a bedroom with that reverberation time."""
    size = rng.uniform((3.0, 3.0, 2.4), (4.5, 5.0, 2.7))
    absorption, order = pyroomacoustics.inverse_sabine(rt60_s, size)
    shoebox = pyroomacoustics.ShoeBox(
        size, fs=RATE, materials=pyroomacoustics.Material(absorption), max_order=min(order, 30)
    )
    microphone = size * (0.5, 0.5, 0.0) + (rng.uniform(-0.3, 0.3), rng.uniform(-0.3, 0.3), 1.0)
    angle = rng.uniform(0, 2 * np.pi)
    mouth = microphone + metres * np.array([np.cos(angle), np.sin(angle), 0.0])
    mouth = np.clip(mouth + np.array([0.0, 0.0, 0.4]), 0.2, size - 0.2)
    shoebox.add_source(mouth)
    shoebox.add_microphone(microphone)
    shoebox.compute_rir()
    wet = signal.fftconvolve(speech, shoebox.rir[0][0])
    return (wet * active_rms(speech) / active_rms(wet)).astype(np.float32)


def _lpc(frame: np.ndarray, order: int) -> tuple[np.ndarray, float]:
    """Prediction filter and residual gain of one windowed frame (autocorrelation method)."""
    full = np.correlate(frame, frame, "full")[len(frame) - 1 : len(frame) + order]
    full[0] = full[0] * 1.0001 + 1e-9
    a = solve_toeplitz(full[:order], full[1 : order + 1])
    error = max(full[0] - float(a @ full[1 : order + 1]), 1e-12)
    return np.concatenate(([1.0], -a)), float(np.sqrt(error))


def whisper(rng: Rng, speech: np.ndarray, order: int = 18) -> np.ndarray:
    """The same words whispered: the mouth's filter is kept, the voice becomes breath.

    Per 20 ms step the spectrum's envelope is found by linear prediction and
    driven with white noise; lows are cut as a whisper has none.
    """
    step, size = FRAME, 2 * FRAME
    window = np.hanning(size + 1)[:size]
    padded = np.pad(speech.astype(np.float64), size)
    out = np.zeros(len(padded))
    for start in range(0, len(padded) - size, step):
        frame = padded[start : start + size] * window
        a, gain = _lpc(frame, order)
        breath = rng.standard_normal(size + 128)  # 128 samples for the filter to settle
        voiced = signal.lfilter([1.0], a, breath)[128:] * gain / np.sqrt(np.sum(window**2))
        out[start : start + size] += voiced * window
    quiet = signal.sosfilt(signal.butter(2, 300, "highpass", fs=RATE, output="sos"), out)
    quiet = quiet[size : size + len(speech)]
    return (quiet * active_rms(speech) / active_rms(quiet)).astype(np.float32)


def headset(speech: np.ndarray) -> np.ndarray:
    """A telephone-band (8 kHz) headset: 300 Hz to 3.4 kHz, 8-bit mu-law steps."""
    band = signal.butter(4, (300, 3400), "bandpass", fs=RATE, output="sos")
    narrow = signal.resample_poly(signal.sosfilt(band, speech), 1, 2)
    narrow = np.clip(narrow, -1, 1)
    folded = np.sign(narrow) * np.log1p(255 * np.abs(narrow)) / np.log(256)
    folded = np.round(folded * 127) / 127
    narrow = np.sign(folded) * np.expm1(np.abs(folded) * np.log(256)) / 255
    return signal.resample_poly(narrow, 2, 1)[: len(speech)].astype(np.float32)


def quiet(speech: np.ndarray, dbfs: float = -45.0) -> np.ndarray:
    """Spoken so softly that the microphone gives little: its own noise is then near."""
    return (speech * 10 ** (dbfs / 20) / active_rms(speech)).astype(np.float32)
