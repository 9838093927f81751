"""Voices: text in, sound out; playing it is for the speaker."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import soundfile

from voicelog.audio.sound import Sound, silence
from voicelog.voice.cache import SpeechCache, key_of
from voicelog.voice.errors import SpeechNotWrittenError
from voicelog.voice.espeak import find
from voicelog.voice.renderer import Renderer
from voicelog.voice.settings import VoiceSettings
from voicelog.voice.speakable import load_words, speakable


class Voice(Protocol):
    """Turns a sentence into sound."""

    def say(self, text: str) -> Sound:
        """Return ``text`` as sound.

        Raises:
            VoiceError: a subclass for the reason why it cannot be said.

        """

    def close(self) -> None:
        """Let go of the engine."""


class PyttsxVoice:
    """The system's voice through pyttsx3, in a process of its own.

    Numbers and units are spelt out first, see :func:`speakable`.

    Args:
        settings: language, voice, rate, volume and which eSpeak.
        folder: where fixed sentences are kept on disk, None to keep none.

    Attributes:
        origin: "system" or "bundled" eSpeak, "native" where the system has voices.

    Raises:
        VoiceMissingError: there is no library to speak with.
        SpeechWordsBrokenError: the language cannot be read aloud.

    """

    def __init__(self, settings: VoiceSettings | None = None, folder: Path | None = None) -> None:
        self.settings = settings or VoiceSettings()
        espeak = find(self.settings.espeak)
        default = load_words(self.settings.language).voice if espeak else ""
        self._voice = self.settings.voice or default
        self.origin = "native" if espeak is None else "bundled" if espeak.file else "system"
        self._renderer = Renderer(espeak)
        self._cache = SpeechCache(folder)

    def say(self, text: str) -> Sound:
        """Return ``text`` as sound, from memory when it was said before.

        Raises:
            VoiceMissingError: the engine does not start.
            VoiceUnknownError: it has no such voice.
            VoiceFailedError: it gave no usable sound.

        """
        spoken = speakable(text, self.settings.language).strip()
        if not spoken:
            return silence(0)
        key = self._key(spoken)
        found = self._cache.get(key)
        if found is None:
            found = self._render(spoken)
            self._cache.put(key, found)
        return found

    def prerender(self, texts: Iterable[str]) -> int:
        """Render fixed sentences and keep them on disk; return how many were new there.

        Only for sentences that say nothing about the child.  Raises like :meth:`say`.
        """
        new = 0
        for text in texts:
            spoken = speakable(text, self.settings.language).strip()
            key = self._key(spoken)
            if spoken and not self._cache.on_disk(key):
                self._cache.put(key, self._cache.get(key) or self._render(spoken), fixed=True)
                new += 1
        self._cache.prune()
        return new

    def about(self) -> tuple[str, tuple[str, ...]]:
        """Start the engine; return its name and the names of its voices.

        Raises:
            VoiceMissingError: the engine does not start.

        """
        return self._renderer.about()

    def close(self) -> None:
        """End the speaking process."""
        self._renderer.close()

    def _key(self, spoken: str) -> str:
        settings = self.settings
        return key_of(spoken, self.origin, self._voice, settings.rate, settings.volume)

    def _render(self, spoken: str) -> Sound:
        settings = self.settings
        return self._renderer.render(spoken, self._voice, settings.rate, settings.volume)


@dataclass
class TextVoice:
    """Says nothing and collects what it was given, for tests and for a silent screen."""

    said: list[str] = field(default_factory=list)

    def say(self, text: str) -> Sound:
        """Keep the sentence and return no sound."""
        self.said.append(text)
        return silence(0)

    def close(self) -> None:
        """Do nothing."""


@dataclass
class FileVoice:
    """Writes each sentence of another voice to a numbered WAV file in a folder.

    Args:
        voice: what speaks.
        folder: made when it is not there.

    """

    voice: Voice
    folder: Path
    written: list[Path] = field(default_factory=list)

    def say(self, text: str) -> Sound:
        """Return the sentence as sound, after writing it.

        Raises:
            SpeechNotWrittenError: the folder cannot be written.
            VoiceError: as the other voice.

        """
        sound = self.voice.say(text)
        name = re.sub(r"\W+", "-", text.lower()).strip("-")[:40] or "nothing"
        path = self.folder / f"{len(self.written) + 1:03}-{name}.wav"
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            soundfile.write(path, sound.samples, sound.rate)
        except (OSError, soundfile.LibsndfileError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            raise SpeechNotWrittenError(self.folder, reason) from error
        self.written.append(path)
        return sound

    def close(self) -> None:
        """Let go of the other voice."""
        self.voice.close()
