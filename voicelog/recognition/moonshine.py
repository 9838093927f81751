"""The default engine: the English acoustic model under the grammar's mask.

Two routes run in one batch.  The masked route can only say what the grammar can
store; the free route says what was most likely said, and its words are parsed
with unknown ones skipped.  How they compare tells how far to trust them.
"""

import time
from functools import lru_cache
from pathlib import Path

from voicelog.entries import Scored
from voicelog.grammar import Grammar, Live
from voicelog.recognition.acoustic import AcousticModel
from voicelog.recognition.beam import Search, run
from voicelog.recognition.decide import decide
from voicelog.recognition.evidence import OTHER_PENALTY, Found, Written, weigh
from voicelog.recognition.masks import Masks, PartMasks, others
from voicelog.recognition.protocol import RATE, Audio, Recognition

MASKED_BEAMS, FREE_BEAMS = 8, 3
LENGTH_REWARD = 0.4
KEPT_MASKED = 8
LONGEST_SECONDS = 20.0


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
        self.parts = PartMasks(self.model.vocabulary, grammar.mask)
        self.masks = lru_cache(maxsize=16)(self._masks)

    def _masks(self, live: Live, expected: frozenset[str]) -> Masks:
        return Masks(self.parts, live, expected)

    def search(self, audio: Audio, live: Live, expected: frozenset[str]) -> Found:
        """Run both routes over ``audio`` and return the texts they found."""
        audio = audio[: int(LONGEST_SECONDS * RATE)]
        masks = self.masks(live, expected)
        free = Search(FREE_BEAMS, LENGTH_REWARD, FREE_BEAMS)
        masked = Search(MASKED_BEAMS, LENGTH_REWARD, KEPT_MASKED, masks, OTHER_PENALTY)
        run(self.model, self.model.listen(audio), len(audio) / RATE, [free, masked])
        spell = self.model.vocabulary.text
        return Found(
            masked=tuple(
                Written(spell(beam.tokens), beam.score, len(beam.tokens), others(beam.state))
                for beam in masked.close()[: 2 * KEPT_MASKED]
            ),
            free=tuple(
                Written(spell(beam.tokens), beam.score, len(beam.tokens)) for beam in free.close()
            ),
        )

    def decode(
        self, audio: Audio, live: Live = "open", expected: frozenset[str] = frozenset()
    ) -> Recognition:
        """Return what ``audio`` says; see ``Recogniser``."""
        started = time.perf_counter()
        found = self.search(audio, live, expected)
        evidence = weigh(found, lambda text: self.grammar.parse(text, live, expected))
        decision = decide(evidence)
        considered = [Scored(text=m.text, score=m.score) for m in evidence.meanings]
        considered.append(Scored(text=evidence.free_text, score=evidence.free_score))
        return decision.model_copy(
            update={
                "hypotheses": tuple(considered),
                "audio_ms": round(1000 * len(audio) / RATE),
                "decode_ms": round(1000 * (time.perf_counter() - started)),
            }
        )
