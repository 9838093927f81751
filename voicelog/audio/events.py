"""What the endpointer says about a stream of windows, and how long it waits before it does."""

from dataclasses import dataclass

from voicelog.audio.sound import Samples
from voicelog.errors import VoicelogError


@dataclass(frozen=True)
class Waits:
    """Lengths in milliseconds; each is rounded up to whole windows of 32 ms.

    Args:
        pause_ms: silence after which decoding may begin on trust.
        end_ms: silence that ends the utterance.
        hold_ms: silence that ends it however unfinished it sounds.
        preroll_ms: sound kept from before speech was found.
        blip_ms: anything shorter is no speech.
        cap_ms: the longest utterance.

    """

    pause_ms: int = 250
    end_ms: int = 500
    hold_ms: int = 650
    preroll_ms: int = 300
    blip_ms: int = 120
    cap_ms: int = 20_000


class WaitsError(VoicelogError, ValueError):
    """The waits contradict one another."""

    def __init__(self, waits: Waits) -> None:
        super().__init__(
            f"The pause ({waits.pause_ms} ms) must not be longer than the end-of-speech wait "
            f"({waits.end_ms} ms), nor that than the wait for an unfinished sentence "
            f"({waits.hold_ms} ms) and the longest utterance ({waits.cap_ms} ms): "
            "change the settings."
        )


LIVE = Waits(pause_ms=160, end_ms=416, hold_ms=512)
"""For a person waiting for an answer: decoding on trust begins early, and is sometimes in vain."""

FILES = Waits(end_ms=900, hold_ms=900)
"""For recordings, where nobody waits: people pause between items."""


@dataclass(frozen=True)
class SpeechStart:
    """Speech began at ``ms``."""

    ms: int


@dataclass(frozen=True, eq=False)
class Pause:
    """A short silence: ``audio`` is what the utterance will be if nothing more is said."""

    audio: Samples
    ms: int


@dataclass(frozen=True)
class Resumed:
    """Speech went on after a pause: what was decoded on trust must be dropped."""

    ms: int


@dataclass(frozen=True, eq=False)
class SpeechEnd:
    """The utterance is over.

    ``audio`` has the pre-roll before ``start_ms`` and the pause after ``end_ms``; it is
    the same audio as in the last :class:`Pause`.  When ``cut`` is true words may be missing
    at either side (the tool was speaking, samples were lost, or the cap was reached):
    such audio must never become an entry, only "say it again".
    """

    audio: Samples
    start_ms: int
    end_ms: int
    cut: bool = False


Event = SpeechStart | Pause | Resumed | SpeechEnd
