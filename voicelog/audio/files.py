"""Sound files in, 16 kHz mono float32 out, whatever their rate and channels were."""

from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import numpy as np
import soundfile
import soxr

from voicelog.audio.sound import RATE, Samples
from voicelog.errors import VoicelogError

CHUNK_SECONDS = 30
"""A night-long recording is read and resampled in pieces of this length."""

UNKNOWN_SIZE = 0xFFFFFFFF
"""What a recorder that writes to a pipe leaves as the size of its data."""


class SoundFileError(VoicelogError):
    """A sound file cannot be used; one subclass for each reason."""


class SoundFileMissingError(SoundFileError, FileNotFoundError):
    """There is no such file."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"There is no file '{path}': check the name.")


class SoundFileEmptyError(SoundFileError, ValueError):
    """The file holds no sound at all, not even silence."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"The file '{path}' is empty: record it again.")


class NotSoundFileError(SoundFileError, ValueError):
    """The file is something other than sound, or a folder."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"The file '{path}' is not a sound file: give a WAV or FLAC file.")


class SoundFileTruncatedError(SoundFileError, EOFError):
    """The file says it is longer than it is, so words may be missing."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"The file '{path}' is cut short: copy or record it again.")


class SoundFileUnreadableError(SoundFileError, OSError):
    """The file is there but cannot be opened, or its inside is damaged."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(
            f"The file '{path}' cannot be read ({reason}): copy it again, or allow reading it."
        )


def read(path: Path | str) -> Samples:
    """Return the whole file as float32 mono samples at 16 kHz.

    Channels are averaged.  A silent file is read like any other.

    Raises:
        SoundFileMissingError, SoundFileEmptyError, NotSoundFileError,
        SoundFileTruncatedError, SoundFileUnreadableError: as their names say.

    """
    return np.concatenate(list(stream(path)))


def stream(path: Path | str) -> Iterator[Samples]:
    """Yield the file in pieces of about 30 s, float32 mono at 16 kHz.

    Raises the same errors as :func:`read`, as soon as the piece that shows them is reached;
    a WAV file that is cut short is refused before its first piece.
    """
    path = Path(path)
    try:
        handle = path.open("rb")
    except FileNotFoundError:
        raise SoundFileMissingError(path) from None
    except IsADirectoryError:
        raise NotSoundFileError(path) from None
    except OSError as error:
        raise SoundFileUnreadableError(path, error.strerror or "no reason given") from None
    with handle:
        if not handle.read(1):
            raise SoundFileEmptyError(path)
        if _wav_is_cut(handle, path.stat().st_size):
            raise SoundFileTruncatedError(path)
        handle.seek(0)
        yield from _decoded(handle, path)


def _decoded(handle: BinaryIO, path: Path) -> Iterator[Samples]:
    """Yield resampled mono pieces from an open file, checking that all frames come."""
    try:
        file = soundfile.SoundFile(handle)
    except soundfile.LibsndfileError:
        raise NotSoundFileError(path) from None
    with file:
        if file.frames == 0:
            raise SoundFileEmptyError(path)
        resampler = soxr.ResampleStream(file.samplerate, RATE, 1, dtype="float32")
        done = 0
        while done < file.frames:
            frames = _next_frames(file, handle, path)
            done += len(frames)
            if len(frames) == 0:
                raise SoundFileTruncatedError(path)
            mono = frames.mean(axis=1, dtype=np.float32)
            if not np.isfinite(mono).all():
                raise SoundFileUnreadableError(path, "it holds values that are not numbers")
            yield resampler.resample_chunk(mono, last=done >= file.frames)


def _next_frames(file: soundfile.SoundFile, handle: BinaryIO, path: Path) -> Samples:
    """Return the next frames by channels; a decoder that fails at the file's end met a cut."""
    try:
        frames: Samples = file.read(
            file.samplerate * CHUNK_SECONDS, dtype="float32", always_2d=True
        )
    except soundfile.LibsndfileError:
        if not handle.read(1):
            raise SoundFileTruncatedError(path) from None
        raise SoundFileUnreadableError(path, "its inside is damaged") from None
    return frames


def _wav_is_cut(handle: BinaryIO, size: int) -> bool:
    """Say whether a RIFF file promises more bytes than it has.

    The decoder quietly shortens such a file, so the chunk sizes are compared here.
    """
    handle.seek(0)
    head = handle.read(12)
    if len(head) < 12 or head[:4] != b"RIFF" or head[8:] != b"WAVE":
        return head[:4] == b"RIFF"
    while len(chunk := handle.read(8)) == 8:
        length = int.from_bytes(chunk[4:], "little")
        if chunk[:4] == b"data":
            return length != UNKNOWN_SIZE and handle.tell() + length > size
        handle.seek(length + length % 2, 1)
    return True
