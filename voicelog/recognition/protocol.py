"""What every recogniser takes and gives."""

from collections.abc import Callable
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from voicelog.entries import Frozen, Scored, Slots
from voicelog.errors import VoicelogError
from voicelog.grammar import Live, Outcome

RATE = 16_000
"""Samples a second of all audio between the rooms."""

Audio = NDArray[np.float32]
"""One channel at 16 kHz, about -1 to 1."""


class Recognition(Frozen):
    """What one utterance was understood to say.

    Args:
        outcome: understood, ask (see ``alternatives``) or not_understood.
        slots: slot to value; when asking, only what is sure.
        alternatives: whole slot tables to choose between, likeliest first.
        text: the words behind ``slots``.
        note: free text of a note.
        confidence: probability that the entry is right, 0 to 1.
        hypotheses: what was considered, with log-probabilities, best first.
        woken: the wake phrase was spoken.
        audio_ms, decode_ms: length of the audio and time it took.
    """

    outcome: Outcome
    slots: Slots = Field(default_factory=dict)
    alternatives: tuple[Slots, ...] = ()
    text: str = ""
    note: str = ""
    confidence: float = 0.0
    hypotheses: tuple[Scored, ...] = ()
    woken: bool = False
    audio_ms: int = 0
    decode_ms: int = 0


Wanted = Callable[[], bool]


def always() -> bool:
    """Say that a result is still wanted."""
    return True


class NoLongerWantedError(VoicelogError):
    """The utterance went on while its first part was being decoded."""

    def __init__(self) -> None:
        super().__init__("What was being decoded is no longer wanted.")


class Recogniser(Protocol):
    """Audio in, hypotheses with scores out."""

    name: str

    def expect(self, live: Live, expected: frozenset[str]) -> None:
        """Make what ``decode`` will need for what is listened for next; it need not be called."""
        ...

    def decode(
        self,
        audio: Audio,
        live: Live = "open",
        expected: frozenset[str] = frozenset(),
        wanted: Wanted = always,
    ) -> Recognition:
        """Return what ``audio`` says under the grammar that is live.

        Args:
            audio: float32, one channel, 16 kHz.
            live: state of the dialogue.
            expected: slots that were asked for.
            wanted: asked now and then whether the result is still wanted.

        Raises:
            NoLongerWantedError: it is not.
        """
        ...
