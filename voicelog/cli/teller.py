"""A mouth that prints: what is heard and what is answered, as it happens."""

from voicelog.audio.endpoint import Segment
from voicelog.cli import common
from voicelog.cli.show import show
from voicelog.recognition.protocol import Recognition
from voicelog.runner.mouth import Volume
from voicelog.voice.errors import VoiceError
from voicelog.voice.speech import FileVoice

SHOWN_TONES = ("soft", "clear")


class Teller:
    """Prints utterances and replies.

    Args:
        as_json: utterances go to standard output as JSON, replies to standard error.

    Attributes:
        file: name of the recording that is being played.
        failed: not everything could be told as it was meant to be.
    """

    def __init__(self, *, as_json: bool) -> None:
        self.as_json = as_json
        self.file = ""
        self.failed = False

    def heard(self, part: Segment, found: Recognition) -> None:
        """Print one utterance."""
        show(found, as_json=self.as_json, file=self.file, start_ms=part.start_ms)

    def say(self, text: str, volume: Volume = "normal", *, urgent: bool = False) -> None:
        """Print one reply."""
        (common.err if self.as_json else common.out).print(f"  > {text}")

    def tone(self, kind: str) -> None:
        """Print that a tone sounds."""
        if not self.as_json and kind in SHOWN_TONES:
            common.out.print(f"  ({kind} tone)")


class VoicedTeller(Teller):
    """Prints the replies, and writes each as a sound file."""

    def __init__(self, voice: FileVoice) -> None:
        super().__init__(as_json=False)
        self.voice = voice

    def say(self, text: str, volume: Volume = "normal", *, urgent: bool = False) -> None:
        """Print and write one reply; a voice that fails is told once."""
        super().say(text, volume, urgent=urgent)
        if self.failed:
            return
        try:
            self.voice.say(text)
        except VoiceError as error:
            self.failed = True
            common.err.print(str(error))
