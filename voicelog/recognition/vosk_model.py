"""A loaded Vosk model, and what hears one utterance with it."""

import json
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from voicelog.errors import VoicelogError
from voicelog.recognition.evidence import Written
from voicelog.recognition.protocol import RATE, Audio
from voicelog.recognition.vosk_folder import VoskModelDamagedError, tuned

LOUDEST = 32767


class VoskMissingError(VoicelogError, ImportError):
    """The Vosk library is not on this machine, or does not run on it."""

    def __init__(self) -> None:
        super().__init__(
            "The Vosk engine is not installed: run 'pip install vosk', or choose another engine."
        )


class VoskModel:
    """A loaded model.

    Args:
        folder: from ``model_folder``.

    Raises:
        VoskMissingError: the library is not installed.
        VoskModelDamagedError: its files cannot be read.

    """

    def __init__(self, folder: Path) -> None:
        try:
            import vosk
        except (ImportError, OSError) as error:
            raise VoskMissingError from error
        vosk.SetLogLevel(-1)
        self._library: Any = vosk
        with tempfile.TemporaryDirectory(prefix="voicelog-vosk-") as work:
            try:
                self._model = vosk.Model(str(tuned(folder, Path(work))))
            except Exception as error:
                raise VoskModelDamagedError(folder) from error

    def has(self, word: str) -> bool:
        """Tell whether ``word`` is in the model's vocabulary."""
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def listener(self, phrases: list[str] | None, most: int) -> "Listener":
        """Return what hears one utterance: only ``phrases``, or anything where that is None."""
        recogniser = (
            self._library.KaldiRecognizer(self._model, RATE)
            if phrases is None
            else self._library.KaldiRecognizer(self._model, RATE, _json(phrases))
        )
        recogniser.SetMaxAlternatives(most)
        return Listener(recogniser)


class Listener:
    """Hears one utterance after another, piece by piece.

    The library's own end-of-speech is passed over: the endpointer has decided
    what the utterance is.  Noise as faint as one step of a sample is added, since
    models were trained with it; it is the same for every utterance, so that the
    same sound is always heard the same way.
    """

    def __init__(self, recogniser: Any) -> None:
        self._recogniser = recogniser
        self._noise = np.random.default_rng(0)

    def begin(self) -> None:
        """Forget what was heard, for the next utterance."""
        self._recogniser.FinalResult()  # without it an utterance never closed goes on in the next
        self._recogniser.Reset()
        self._noise = np.random.default_rng(0)

    def feed(self, audio: Audio) -> None:
        """Hear more: float32, one channel, 16 kHz."""
        faint = self._noise.standard_normal(len(audio))
        whole = np.clip(audio * LOUDEST + faint, -LOUDEST, LOUDEST).round().astype("<i2")
        self._recogniser.AcceptWaveform(whole.tobytes())

    def partial(self) -> str:
        """Return the text so far; what was heard last may still change."""
        return str(json.loads(self._recogniser.PartialResult())["partial"])

    def close(self) -> list[Written]:
        """Return the likeliest texts, best first, with their log-likelihoods."""
        result = json.loads(self._recogniser.FinalResult())
        return [
            Written(one["text"], float(one["confidence"]), max(1, len(one["text"].split())))
            for one in result.get("alternatives", ())
        ]


def _json(phrases: list[str]) -> str:
    return json.dumps(phrases, ensure_ascii=False)
