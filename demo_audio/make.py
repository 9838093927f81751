"""Render the demo recordings again: ``python demo_audio/make.py`` (needs bench/setup.sh first)."""

import sys
from pathlib import Path

import numpy as np
import soundfile
import soxr

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from bench.speak import speak  # noqa: E402
from bench.voices import VOICES  # noqa: E402
from voicelog.plainyaml import read_yaml  # noqa: E402

RATE = 16_000
NOISE = 0.0006
"""A quiet room: peak of the noise between the lines."""


def render(recording: dict[str, object]) -> np.ndarray:
    voice = next(v for v in VOICES if v.name == recording["voice"])
    rng = np.random.default_rng(1)
    parts = []
    for line in recording["lines"]:  # type: ignore[attr-defined]
        samples, rate = speak(voice, line["say"])
        samples = soxr.resample(samples, rate, RATE)
        parts += [np.zeros(round(line["pause"] * RATE)), 0.6 * samples / np.abs(samples).max()]
    parts.append(np.zeros(RATE))
    whole = np.concatenate(parts)
    return (whole + NOISE * rng.standard_normal(len(whole))).astype(np.float32)


def main() -> None:
    for name, recording in read_yaml(HERE / "script.yaml").items():
        target = HERE / f"{name}.flac"
        soundfile.write(target, render(recording), RATE, subtype="PCM_16")
        print(target.name, f"{target.stat().st_size // 1024} kB")


if __name__ == "__main__":
    main()
