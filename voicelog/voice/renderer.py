"""The caller's side of the process that speaks."""

import json
import queue
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import IO, Any

import numpy as np

from voicelog.audio.sound import Sound, level_db
from voicelog.voice import worker
from voicelog.voice.errors import VoiceFailedError, VoiceMissingError, VoiceUnknownError
from voicelog.voice.espeak import Espeak

START_S = 20.0
SAY_S = 25.0
SHORTEST_WORD_S = 0.03
QUIETEST_DB = -60.0
AUDIBLE = 0.001
TAIL_S = 0.05


class Renderer:
    """Renders sentences in a child process; started when first needed, restarted if it dies.

    Args:
        espeak: the library to load, None for the system's own voices.

    """

    def __init__(self, espeak: Espeak | None) -> None:
        self._espeak = espeak or Espeak()
        self._lock = threading.Lock()
        self._process: subprocess.Popen[str] | None = None
        self._answers: queue.SimpleQueue[dict[str, Any]] = queue.SimpleQueue()
        self._ready: dict[str, Any] = {}

    def about(self) -> tuple[str, tuple[str, ...]]:
        """Return the engine's name and the names of its voices.

        Raises:
            VoiceMissingError: the engine does not start.

        """
        with self._lock:
            self._start()
            return str(self._ready["engine"]), tuple(self._ready["voices"])

    def render(self, text: str, voice: str, rate: int, volume: float) -> Sound:
        """Return ``text`` as sound; one that is silent or too short for its words is refused.

        Raises:
            VoiceMissingError: the engine does not start.
            VoiceUnknownError: it has no such voice.
            VoiceFailedError: it gave no usable sound, tried twice.

        """
        with self._lock, tempfile.TemporaryDirectory(prefix="voicelog-") as folder:
            path = Path(folder) / "speech"
            request = {
                "text": text,
                "path": str(path),
                "voice": voice,
                "rate": rate,
                "volume": volume,
            }
            try:
                self._ask(request)
            except VoiceFailedError:  # the process may have died: a new one gets one try
                self._stop()
                self._ask(request)
            return _checked(path, text)

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._stop()

    def _ask(self, request: dict[str, Any]) -> None:
        process = self._start()
        assert process.stdin is not None  # noqa: S101  (it was opened as a pipe)
        try:
            process.stdin.write(json.dumps(request) + "\n")
            process.stdin.flush()
        except OSError as error:
            raise VoiceFailedError("its process ended") from error
        answer = self._next(SAY_S)
        if answer.get("error") == "voice":
            raise VoiceUnknownError(str(request["voice"]))
        if not answer.get("done"):
            raise VoiceFailedError(str(answer.get("detail", "no answer")))

    def _start(self) -> subprocess.Popen[str]:
        if self._process is not None and self._process.poll() is None:
            return self._process
        self._stop()
        files = [str(path or "") for path in (self._espeak.file, self._espeak.data)]
        self._process = subprocess.Popen(  # noqa: S603  (our own file, our own interpreter)
            [sys.executable, "-P", str(Path(worker.__file__)), *files],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            encoding="utf-8",
        )
        self._answers = queue.SimpleQueue()
        assert self._process.stdout is not None  # noqa: S101
        threading.Thread(
            target=_listen, args=(self._process.stdout, self._answers), daemon=True
        ).start()
        try:
            self._ready = self._next(START_S)
        except VoiceFailedError as error:
            self._stop()
            raise VoiceMissingError("the speech engine does not start") from error
        if not self._ready.get("ready"):
            self._stop()
            raise VoiceMissingError(str(self._ready.get("detail", "no answer")))
        return self._process

    def _next(self, seconds: float) -> dict[str, Any]:
        try:
            return self._answers.get(timeout=seconds)
        except queue.Empty:
            self._stop()
            raise VoiceFailedError("it took too long") from None

    def _stop(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                pipe.close()


def _listen(pipe: IO[str], answers: "queue.SimpleQueue[dict[str, Any]]") -> None:
    """Pass answers on; an end of the stream is an answer too, so that nobody waits for it."""
    try:
        for line in pipe:
            answers.put(json.loads(line))
    except ValueError:  # closed under us, or not JSON
        pass
    answers.put({"error": "engine", "detail": "its process ended"})


def _checked(path: Path, text: str) -> Sound:
    import soundfile

    try:
        samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
    except (soundfile.LibsndfileError, OSError) as error:
        raise VoiceFailedError("it wrote no sound") from error
    sound = _trimmed(Sound(samples.mean(axis=1, dtype=np.float32), int(rate)))
    if sound.seconds < SHORTEST_WORD_S * len(text.split()):
        raise VoiceFailedError("its sound is too short")
    if level_db(sound.samples) < QUIETEST_DB:
        raise VoiceFailedError("its sound is silent")
    return sound


def _trimmed(sound: Sound) -> Sound:
    """Leave off the silence after the last word: nobody is listened to while it lasts."""
    heard = np.flatnonzero(np.abs(sound.samples) > AUDIBLE)
    end = int(heard[-1]) + round(TAIL_S * sound.rate) if len(heard) else 0
    return Sound(sound.samples[:end], sound.rate)
