"""What the voice of this computer can do, for a check before the first night."""

from dataclasses import dataclass

from voicelog.errors import VoicelogError
from voicelog.voice.settings import VoiceSettings
from voicelog.voice.speech import PyttsxVoice

SENTENCE = "Two passes, white, thick, 3 drops. Saved."


@dataclass(frozen=True)
class VoiceStatus:
    """What was found.

    Args:
        engine: name of the speech engine, empty when there is none.
        origin: "system" or "bundled" eSpeak, "native" on other systems.
        voices: how many voices the engine has.
        seconds: length of a rendered test sentence.
        problem: one plain sentence with the fix, None when all is well.

    """

    engine: str = ""
    origin: str = ""
    voices: int = 0
    seconds: float = 0.0
    problem: str | None = None

    @property
    def ok(self) -> bool:
        """Whether a sentence could be rendered."""
        return self.problem is None


def probe(settings: VoiceSettings | None = None) -> VoiceStatus:
    """Render a test sentence; never raises, every failure is in ``problem``."""
    try:
        voice = PyttsxVoice(settings)
    except VoicelogError as error:
        return VoiceStatus(problem=str(error))
    try:
        engine, voices = voice.about()
        sound = voice.say(SENTENCE)
        return VoiceStatus(engine, voice.origin, len(voices), sound.seconds)
    except VoicelogError as error:
        return VoiceStatus(origin=voice.origin, problem=str(error))
    finally:
        voice.close()
