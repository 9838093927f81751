"""A mouth that speaks aloud from a thread of its own, while the microphone is deaf."""

import queue
import threading
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Protocol, cast

from voicelog.audio.sound import Sound
from voicelog.audio.tones import ToneKind, tone
from voicelog.errors import VoicelogError
from voicelog.runner.mouth import Volume
from voicelog.voice.speech import Voice

QUIET_GAIN = 0.35
LAST_WORDS_SECONDS = 20.0
"""How long closing waits for what is still to be said."""
HUSH_SECONDS = 0.5
"""How long an urgent sentence tries to end another one."""


class Player(Protocol):
    """What plays a sound to its end; False when it was stopped."""

    def play(self, sound: Sound, *, gain: float = 1.0) -> bool:
        """Play ``sound``."""
        ...

    def stop(self) -> None:
        """End what is being played."""
        ...


@dataclass(frozen=True, slots=True)
class _Utterance:
    text: str = ""
    tone: str = ""
    gain: float = 1.0
    turn: int = 0


class SpokenMouth:
    """Speaks sentences in order; an urgent one ends what is being said.

    Args:
        voice: renders sentences.
        player: plays them.
        deaf: closes the microphone while a sentence is spoken.
        shown: told every sentence, for the screen.
        failed: told why a sentence could not be spoken.
    """

    def __init__(
        self,
        voice: Voice,
        player: Player,
        deaf: Callable[[], AbstractContextManager[None]],
        shown: Callable[[str], None] = lambda text: None,
        failed: Callable[[str], None] = lambda why: None,
    ) -> None:
        self.voice, self.player, self.deaf = voice, player, deaf
        self.shown, self.failed = shown, failed
        self._waiting: queue.SimpleQueue[_Utterance | None] = queue.SimpleQueue()
        self._playing: int | None = None  # the turn of the sentence that is played
        self._turn = 0  # raised by an urgent sentence: what is of an older turn is left unsaid
        self._thread = threading.Thread(target=self._speak, name="mouth", daemon=True)
        self._thread.start()

    def say(self, text: str, volume: Volume = "normal", *, urgent: bool = False) -> None:
        """Speak ``text`` after what waits, or at once when ``urgent``."""
        if urgent:
            self._turn += 1
            self._hush()
        gain = QUIET_GAIN if volume == "quiet" else 1.0
        self._waiting.put(_Utterance(text=text, gain=gain, turn=self._turn))

    def _hush(self) -> None:
        """End what is of an older turn, even if its playing is only just about to begin."""
        deadline = time.monotonic() + HUSH_SECONDS
        self.player.stop()
        while (turn := self._playing) is not None and turn < self._turn:
            if time.monotonic() > deadline:
                return
            time.sleep(0.005)
            self.player.stop()

    def tone(self, kind: str) -> None:
        """Play a tone."""
        self._waiting.put(_Utterance(tone=kind, turn=self._turn))

    def close(self) -> None:
        """Say what waits, then end."""
        self._waiting.put(None)
        self._thread.join(timeout=LAST_WORDS_SECONDS)
        self.voice.close()

    def _speak(self) -> None:
        while (item := self._waiting.get()) is not None:
            try:
                self._utter(item)
            except VoicelogError as error:
                self.failed(str(error))
            except Exception as error:  # noqa: BLE001  (a mute log would look like a deaf one)
                self.failed(f"The reply was not spoken ({error}): look at the screen instead.")

    def _utter(self, item: _Utterance) -> None:
        if item.turn < self._turn:
            return
        if item.tone:
            # Tones are short and not taken for speech: the microphone stays open.
            self.player.play(tone(cast(ToneKind, item.tone)))
            return
        self.shown(item.text)
        sound = self.voice.say(item.text)
        self._playing = item.turn
        try:
            if item.turn < self._turn:  # something urgent came while this was rendered
                return
            with self.deaf():
                self.player.play(sound, gain=item.gain)
        finally:
            self._playing = None
