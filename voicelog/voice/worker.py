"""The process that speaks: sentences in on standard input, sound files out.

It runs by itself, and imports nothing of the package, so that a speech library that
hangs, prints or crashes cannot take the log with it.  One JSON object a line:

    {"text": ..., "path": ..., "voice": ..., "rate": ..., "volume": ...}

is answered by ``{"done": true}`` or ``{"error": "voice" | "engine", "detail": ...}``
after a first line ``{"ready": true, "engine": ..., "voices": [...]}``.
Arguments: the eSpeak library to load and its data folder, both optional.
"""

import ctypes
import json
import os
import signal
import sys
import time
import wave
from pathlib import Path
from typing import Any, Protocol

FINISH_S = 20.0
"""Give up on a sentence after this long."""


class Speaker(Protocol):
    """A speech engine."""

    name: str
    voices: list[str]

    def render(self, text: str, path: str, voice: str, rate: int, volume: float) -> None:
        """Write one sentence to a sound file.

        Raises:
            LookupError: there is no such voice.
            OSError, RuntimeError, ValueError: the engine failed.

        """


class EspeakSpeaker:
    """ESpeak by pyttsx3's binding, in synchronous mode.

    Not by pyttsx3's engine: its run loop returns before the sound is whole, and cancels
    what it has just begun when the sentence before is still ending, so that now and then
    a sentence is silent or could lack its end.
    """

    name = "espeak"

    def __init__(self, library: str = "", data: str = "") -> None:
        if data:
            os.environ["ESPEAK_DATA_PATH"] = data
        if library:  # the binding then finds it by its name among what is loaded
            ctypes.CDLL(library, mode=ctypes.RTLD_GLOBAL)
        from pyttsx3.drivers import _espeak

        self._espeak = _espeak
        self._rate: int = _espeak.Initialize(_espeak.AUDIO_OUTPUT_SYNCHRONOUS, 200)
        if self._rate <= 0:
            raise RuntimeError("eSpeak finds no voice data")
        self._samples = bytearray()
        _espeak.SetSynthCallback(self._take)
        self.voices = [voice.identifier.decode() for voice in _espeak.ListVoices(None)]

    def _take(self, samples: Any, count: int, _events: Any) -> int:
        if samples and count > 0:
            self._samples += ctypes.string_at(samples, count * ctypes.sizeof(ctypes.c_short))
        return 0

    def render(self, text: str, path: str, voice: str, rate: int, volume: float) -> None:
        """Write one sentence; see :class:`Speaker`."""
        espeak = self._espeak
        if espeak.SetVoiceByName(voice.encode()) != espeak.EE_OK:
            raise LookupError(voice)
        espeak.SetParameter(espeak.RATE, rate, 0)
        espeak.SetParameter(espeak.VOLUME, round(volume * 100), 0)
        self._samples.clear()
        status = espeak.Synth(text.encode(), flags=espeak.CHARS_UTF8 | espeak.ENDPAUSE)
        if status != espeak.EE_OK:
            raise RuntimeError(f"eSpeak answered {status}")
        with wave.open(path, "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(self._rate)
            file.writeframes(self._samples)


class EngineSpeaker:
    """The system's own voices by pyttsx3's engine (macOS, Windows)."""

    def __init__(self) -> None:
        import pyttsx3

        self._engine = pyttsx3.init()
        self.name = str(self._engine.proxy._module.__name__).rpartition(".")[2]
        self.voices = [str(voice.id) for voice in self._engine.getProperty("voices")]
        self._default = str(self._engine.getProperty("voice"))
        self._error: Exception | None = None
        self._engine.connect("error", self._on_error)

    def _on_error(self, name: str | None, exception: Exception) -> None:
        self._error = exception

    def render(self, text: str, path: str, voice: str, rate: int, volume: float) -> None:
        """Write one sentence; an empty ``voice`` is the system's default."""
        if voice and voice not in self.voices:
            raise LookupError(voice)
        self._error = None
        self._engine.setProperty("voice", voice or self._default)
        self._engine.setProperty("rate", rate)
        self._engine.setProperty("volume", volume)
        self._engine.save_to_file(text, path)
        self._engine.runAndWait()
        if self._error is not None:  # told by event only: the engine itself just goes on
            raise RuntimeError(str(self._error))
        _wait(Path(path))


def _wait(path: Path) -> None:
    """Wait until a file has stopped growing: runAndWait may return before it is whole."""
    deadline = time.monotonic() + FINISH_S
    size = -1
    while time.monotonic() < deadline:
        now = path.stat().st_size if path.exists() else 0
        if now and now == size:
            return
        size = now
        time.sleep(0.1)
    raise RuntimeError("the engine wrote no file")


def main(arguments: list[str]) -> None:
    """Answer requests until standard input closes."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8", buffering=1)
    os.dup2(2, 1)  # engines print; only answers may go to the caller
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the caller decides when to stop

    def answer(**content: object) -> None:
        answers.write(json.dumps(content) + "\n")

    speaker: Speaker
    try:
        speaker = EspeakSpeaker(*arguments) if sys.platform.startswith("linux") else EngineSpeaker()
    except Exception as error:  # noqa: BLE001  (any failure of a foreign engine is an answer)
        answer(error="engine", detail=str(error) or type(error).__name__)
        return
    answer(ready=True, engine=speaker.name, voices=speaker.voices)
    for line in sys.stdin:
        try:
            speaker.render(**json.loads(line))
        except LookupError as error:
            answer(error="voice", detail=str(error))
        except Exception as error:  # noqa: BLE001
            answer(error="engine", detail=str(error) or type(error).__name__)
        else:
            answer(done=True)


if __name__ == "__main__":
    main(sys.argv[1:])
