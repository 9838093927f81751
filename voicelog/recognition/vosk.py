"""The other engine: any Vosk model whose graph takes a phrase list.

Two listeners hear the same sound: one only the grammar's words, one anything.
The phrase list makes a bigram, so word order is not kept and other speech is
bent into the grammar's words with full confidence; the parser and how far both
listeners differ tell what to believe.
"""

import time
from functools import lru_cache
from pathlib import Path

import numpy as np

from voicelog.entries import Scored
from voicelog.grammar import Grammar, Live, Parse
from voicelog.recognition.evidence import Evidence, Found, Written, weigh
from voicelog.recognition.protocol import (
    RATE,
    Audio,
    NoLongerWantedError,
    Recognition,
    Wanted,
    always,
)
from voicelog.recognition.vosk_check import Unheard, check
from voicelog.recognition.vosk_decide import decide
from voicelog.recognition.vosk_doubt import Doubt, doubt
from voicelog.recognition.vosk_folder import model_folder
from voicelog.recognition.vosk_model import Listener, VoskModel
from voicelog.recognition.vosk_phrases import phrase_list
from voicelog.recognition.vosk_words import ModelWords

TEXTS, FREE_TEXTS = 30, 3
"""Texts that each listener may return."""
LONGEST_SECONDS = 20.0
BEFORE, AFTER = 0.2, 0.4
"""Seconds of silence around the sound: without it the last word is cut."""


class VoskEngine:
    """Recognises the grammar's language with a Vosk model.

    Args:
        grammar: what can be understood.
        model: a loaded model of that language.

    Raises:
        VoskWordsMissingError: something cannot be said in the model's words.

    ``unheard`` names words of the grammar that the model lacks; what they say can
    be said in other words.
    """

    name = "vosk"

    def __init__(self, grammar: Grammar, model: VoskModel) -> None:
        self.grammar, self.model = grammar, model
        self.words = ModelWords(model.has, parts=grammar.spec.language.spacing == "free")
        self.unheard: tuple[Unheard, ...] = check(grammar, self.words)
        self.free = model.listener(None, FREE_TEXTS)
        self.masked = lru_cache(maxsize=8)(self._masked)

    @classmethod
    def open(cls, grammar: Grammar, model: Path | None) -> "VoskEngine":
        """Load the model in the folder ``model``, or in its package where that is None.

        Raises:
            VoskMissingError, VoskModelMissingError, VoskModelDamagedError,
            VoskStaticGraphError, VoskWordsMissingError: each names its fix.

        """
        language = grammar.spec.language.language
        return cls(grammar, VoskModel(model_folder(language, model)))

    def _masked(self, expected: frozenset[str]) -> Listener:
        return self.model.listener(phrase_list(self.grammar, self.words, expected), TEXTS)

    def expect(self, live: Live, expected: frozenset[str]) -> None:
        """Make the listener; see ``Recogniser``."""
        self.masked(expected)

    def decode(
        self,
        audio: Audio,
        live: Live = "open",
        expected: frozenset[str] = frozenset(),
        wanted: Wanted = always,
    ) -> Recognition:
        """Return what ``audio`` says; see ``Recogniser``."""
        if not wanted():
            raise NoLongerWantedError
        utterance = self.utterance(live, expected)
        utterance.feed(audio)
        return utterance.close()

    def utterance(self, live: Live = "open", expected: frozenset[str] = frozenset()) -> "Utterance":
        """Begin an utterance that is heard while it is spoken; it ends the one before."""
        return Utterance(self, live, expected)


class Utterance:
    """One utterance, heard piece by piece."""

    def __init__(self, engine: VoskEngine, live: Live, expected: frozenset[str]) -> None:
        self._engine, self._live, self._expected = engine, live, expected
        # a listener that is used again is ten times as fast as a new one
        self._masked, self._free = engine.masked(expected), engine.free
        self._masked.begin()
        self._free.begin()
        self._samples, self._spent = 0, 0.0
        self._hear(_silence(BEFORE))

    def feed(self, audio: Audio) -> str:
        """Hear more of it (float32, one channel, 16 kHz) and return the text so far.

        Only for the eye: nothing may be stored before ``close``.
        """
        audio = audio[: max(0, int(LONGEST_SECONDS * RATE) - self._samples)]
        self._samples += len(audio)
        self._hear(audio)
        return self._engine.words.join(self._masked.partial())

    def close(self) -> Recognition:
        """Return what was said."""
        started = time.perf_counter()
        self._hear(_silence(AFTER))
        found = Found(
            masked=self._texts(self._masked.close()), free=self._texts(self._free.close())
        )
        evidence = weigh(found, self._parse)
        decision = decide(evidence, self._doubt(found, evidence))
        considered = [Scored(text=m.best.text, score=m.worth) for m in evidence.meanings]
        considered.append(Scored(text=evidence.heard.text, score=evidence.heard.score))
        return decision.model_copy(
            update={
                "hypotheses": tuple(considered),
                "audio_ms": round(1000 * self._samples / RATE),
                "decode_ms": round(1000 * (self._spent + time.perf_counter() - started)),
            }
        )

    def _doubt(self, found: Found, evidence: Evidence) -> Doubt | None:
        if not evidence.meanings:
            return None
        text = evidence.meanings[0].best.text
        strict = self._engine.grammar.parse(text, self._live, self._expected, strict=True)
        refused = [t.worth for t in found.masked if self._parse(t.text).outcome == "not_understood"]
        return doubt(evidence, refused, strict, self._samples / RATE)

    def _hear(self, audio: Audio) -> None:
        started = time.perf_counter()
        if len(audio):
            self._masked.feed(audio)
            self._free.feed(audio)
        self._spent += time.perf_counter() - started

    def _texts(self, found: list[Written]) -> tuple[Written, ...]:
        join = self._engine.words.join
        return tuple(Written(join(one.text), one.score, one.tokens) for one in found)

    def _parse(self, text: str) -> Parse:
        return self._engine.grammar.parse(text, self._live, self._expected)


def _silence(seconds: float) -> Audio:
    return np.zeros(round(seconds * RATE), np.float32)
