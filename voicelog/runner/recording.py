"""A recording cut into utterances, and what each of them says."""

from collections.abc import Iterator

import numpy as np

from voicelog.audio.endpoint import Segment, segments
from voicelog.grammar import Live
from voicelog.recognition.protocol import RATE, Audio, Recogniser, Recognition

SHORT_SECONDS = 20
QUIET = 1e-4
"""Root mean square below which a recording holds no sound worth decoding."""


def utterances(audio: Audio) -> Iterator[Segment]:
    """Yield the utterances of a recording.

    Whispered speech may not count as a voice; a short recording with sound but
    no voice is taken as one utterance, and the recogniser decides.
    """
    found = segments(audio)
    if not found and len(audio) <= SHORT_SECONDS * RATE and _loudness(audio) > QUIET:
        found = [Segment(0, round(1000 * len(audio) / RATE), audio)]
    yield from found


def decoded(
    part: Segment,
    recogniser: Recogniser,
    live: Live = "open",
    expected: frozenset[str] = frozenset(),
) -> Recognition:
    """Return what an utterance says.

    One that was cut may lack words at either side: it is not even decoded, so that
    it can never become an entry, and is answered as what was not understood.
    """
    if part.cut:
        return Recognition(outcome="not_understood", audio_ms=round(1000 * len(part.audio) / RATE))
    return recogniser.decode(part.audio, live, expected)


def _loudness(audio: Audio) -> float:
    return float(np.sqrt(np.mean(np.square(audio)))) if len(audio) else 0.0
