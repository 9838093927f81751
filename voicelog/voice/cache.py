"""Rendered sentences, kept so that the second time costs nothing."""

import hashlib
import json
import os
import stat
import tempfile
import threading
import wave
from collections import OrderedDict
from pathlib import Path

import numpy as np

from voicelog.audio.sound import Sound

FORMAT = 1
"""Part of every key: raise it when rendering changes, and old files are left unused."""

FILES_KEPT = 400


def key_of(text: str, engine: str, voice: str, rate: int, volume: float) -> str:
    """Return a name for everything that the sound depends on."""
    parts = json.dumps([FORMAT, text, engine, voice, rate, volume], ensure_ascii=False)
    return hashlib.sha256(parts.encode()).hexdigest()


class SpeechCache:
    """Least recently used sentences in memory, and fixed ones on disk.

    What was said about the child stays in memory: only sentences that are the same
    for everyone are written to disk.  The folder is for its owner alone; one that
    others may write to is not used, and no fault of the disk is ever an error.

    Args:
        folder: where files are kept, None to keep none.
        sentences: how many are kept in memory.

    """

    def __init__(self, folder: Path | None = None, sentences: int = 256) -> None:
        self._folder = folder if folder is not None and _private(folder) else None
        self._limit = sentences
        self._memory: OrderedDict[str, Sound] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: str) -> Sound | None:
        """Return a kept sentence, None when there is none (or its file is damaged)."""
        with self._lock:
            if key in self._memory:
                self._memory.move_to_end(key)
                return self._memory[key]
        found = _read(self._folder / f"{key}.wav") if self._folder else None
        if found is not None:
            self._remember(key, found)
        return found

    def put(self, key: str, sound: Sound, *, fixed: bool = False) -> None:
        """Keep a sentence; one that is ``fixed`` goes to disk as well."""
        self._remember(key, sound)
        if fixed and self._folder:
            _write(self._folder / f"{key}.wav", sound)

    def on_disk(self, key: str) -> bool:
        """Say whether a sentence has a file."""
        return self._folder is not None and (self._folder / f"{key}.wav").is_file()

    def prune(self) -> None:
        """Remove the oldest files beyond the number kept."""
        if self._folder is None:
            return
        try:
            files = sorted(self._folder.glob("*.wav"), key=lambda path: -path.stat().st_mtime_ns)
            for path in files[FILES_KEPT:]:
                path.unlink(missing_ok=True)
        except OSError:
            return

    def _remember(self, key: str, sound: Sound) -> None:
        with self._lock:
            self._memory[key] = sound
            self._memory.move_to_end(key)
            while len(self._memory) > self._limit:
                self._memory.popitem(last=False)


def _private(folder: Path) -> bool:
    """Make the folder for its owner alone and say whether it may be trusted."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        status = folder.stat()
    except OSError:
        return False
    if os.name != "posix":
        return True
    writable = stat.S_IMODE(status.st_mode) & 0o022
    return status.st_uid == os.getuid() and not writable


def _read(path: Path) -> Sound | None:
    try:
        with wave.open(str(path), "rb") as file:
            frames, rate = file.getnframes(), file.getframerate()
            content = file.readframes(frames)
    except (OSError, EOFError, wave.Error):
        return None
    if not frames or len(content) != 2 * frames:
        return None
    samples = np.frombuffer(content, "<i2").astype(np.float32)
    samples /= 32767
    return Sound(samples, rate)


def _write(path: Path, sound: Sound) -> None:
    """Write in one step, so that a file is there whole or not at all."""
    samples = np.round(np.clip(sound.samples, -1, 1) * 32767).astype("<i2")
    temporary: Path | None = None
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
        temporary = Path(name)
        with os.fdopen(handle, "wb") as raw, wave.open(raw, "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(sound.rate)
            file.writeframes(samples.tobytes())
        temporary.replace(path)
    except OSError:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
