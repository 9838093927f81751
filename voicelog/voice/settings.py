"""How the voice sounds."""

from typing import Literal

from pydantic import Field

from voicelog.entries import Frozen

Library = Literal["auto", "system", "bundled"]


class VoiceSettings(Frozen):
    """The user's choices about the voice.

    Args:
        language: of the words; it also picks the voice when ``voice`` is not given.
        voice: the engine's own name of a voice, as "en-us" or "en-gb-scotland" for eSpeak.
        rate: words a minute.
        volume: 0 (silent) to 1.
        espeak: which one on Linux: the system's where it has one ("auto"), only the
            system's, or only the one that comes with voicelog's dependencies.

    """

    language: str = "en"
    voice: str | None = None
    rate: int = Field(default=160, ge=80, le=400)
    volume: float = Field(default=1.0, gt=0.0, le=1.0)
    espeak: Library = "auto"
