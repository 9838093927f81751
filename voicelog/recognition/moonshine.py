"""The default engine: the English acoustic model under the grammar's mask.

Three searches run in one batch.  The strict one can only say what the grammar can
store; the loose one lets a few other words pass at a price; the free one says
what was most likely said.  How they compare tells how far to trust them.
"""

import time
from functools import lru_cache
from pathlib import Path
from threading import Thread

import numpy as np

from voicelog.entries import Scored
from voicelog.grammar import Grammar, Live
from voicelog.recognition.acoustic import AcousticModel, Memory
from voicelog.recognition.beam import Search, run
from voicelog.recognition.decide import decide
from voicelog.recognition.evidence import LENGTH_REWARD, OTHER_PENALTY, Found, Written, weigh
from voicelog.recognition.loudness import prominence
from voicelog.recognition.masks import Masks, PartMasks, others
from voicelog.recognition.protocol import RATE, Audio, Recognition, Wanted, always
from voicelog.recognition.written import KeptWriter

STRICT_BEAMS, LOOSE_BEAMS, FREE_BEAMS = 6, 2, 1
ENOUGH = 5
"""Finished texts of a masked search, after which longer ones are no longer waited for."""
LONGEST_SECONDS = 20.0
TAIL_SECONDS = 0.5
"""Silence put after the audio: without it the model drops or bends the last word."""


def with_tail(audio: Audio) -> Audio:
    """Return ``audio`` with the silence after it that the models need."""
    return np.pad(audio, (0, round(TAIL_SECONDS * RATE)))


class MoonshineEngine:
    """Recognises English under a grammar.

    Args:
        grammar: what can be understood.
        folder: the prepared model.

    Raises:
        ModelDamagedError: the model cannot be loaded.
        MaskRefusedError: the grammar cannot be used as a mask.
    """

    name = "moonshine"

    def __init__(self, grammar: Grammar, folder: Path) -> None:
        self.grammar = grammar
        self.model = AcousticModel(folder)
        self.written = KeptWriter(grammar, folder)
        self.parts = PartMasks(self.model.vocabulary, self.written)
        self.masks = lru_cache(maxsize=16)(self._masks)
        self._warm_up()

    def _warm_up(self) -> None:
        """Make what the first utterance would have to wait for.

        All masks and the graphs' memory; the parser meanwhile, while nobody has spoken yet.
        """
        Thread(target=self.grammar.parse, args=("two passes",), daemon=True).start()
        self.expect("idle", frozenset())
        self.search(np.zeros(RATE, np.float32), "open", frozenset())
        self.written.save()

    def _masks(self, live: Live, expected: frozenset[str]) -> tuple[Masks, Masks]:
        """Return the mask of the grammar alone, and the one that lets other words pass."""
        return Masks(self.parts, live, expected, 0), Masks(self.parts, live, expected)

    def expect(self, live: Live, expected: frozenset[str]) -> None:
        """Make the masks; see ``Recogniser``."""
        for masks in self.masks(live, expected):
            masks.allowed(masks.first)

    def search(
        self, audio: Audio, live: Live, expected: frozenset[str], wanted: Wanted = always
    ) -> Found:
        """Run all routes over ``audio`` and return the texts they found."""
        audio = audio[: int(LONGEST_SECONDS * RATE)]
        sound = with_tail(audio)
        memory, seconds = self.model.listen(sound), len(audio) / RATE
        searches = self.searches(memory, seconds, live, expected, wanted)
        free, strict, loose = (tuple(self._written(search)) for search in searches)
        return Found((*strict, *loose), free, prominence(audio))

    def searches(
        self,
        memory: Memory,
        seconds: float,
        live: Live,
        expected: frozenset[str],
        wanted: Wanted = always,
    ) -> list[Search]:
        """Return the free, the strict and the loose search, run to their ends."""
        strict, loose = self.masks(live, expected)
        searches = [
            Search(FREE_BEAMS, LENGTH_REWARD, FREE_BEAMS),
            Search(STRICT_BEAMS, LENGTH_REWARD, ENOUGH, strict),
            Search(LOOSE_BEAMS, LENGTH_REWARD, ENOUGH, loose, OTHER_PENALTY),
        ]
        run(self.model, memory, seconds, searches, wanted)
        return searches

    def _written(self, search: Search) -> list[Written]:
        spell = self.model.vocabulary.text
        return [
            Written(spell(beam.tokens), beam.score, len(beam.tokens), others(beam.state))
            for beam in search.close()[: 2 * search.width]
        ]

    def decode(
        self,
        audio: Audio,
        live: Live = "open",
        expected: frozenset[str] = frozenset(),
        wanted: Wanted = always,
    ) -> Recognition:
        """Return what ``audio`` says; see ``Recogniser``."""
        started = time.perf_counter()
        found = self.search(audio, live, expected, wanted)
        evidence = weigh(found, lambda text: self.grammar.parse(text, live, expected))
        decision = decide(evidence)
        considered = [Scored(text=m.best.text, score=m.worth) for m in evidence.meanings]
        considered.append(Scored(text=evidence.heard.text, score=evidence.heard.score))
        return decision.model_copy(
            update={
                "hypotheses": tuple(considered),
                "audio_ms": round(1000 * len(audio) / RATE),
                "decode_ms": round(1000 * (time.perf_counter() - started)),
            }
        )
