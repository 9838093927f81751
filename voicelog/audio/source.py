"""Where sound comes from, in blocks of one window, and a gate that is shut while we speak."""

import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

import numpy as np

from voicelog.audio.files import stream
from voicelog.audio.sound import RATE, WINDOW, WINDOW_MS, Samples

BLOCK_S = WINDOW / RATE


@dataclass(frozen=True, eq=False)
class Block:
    """One window of sound.

    Args:
        samples: 512 float32 samples at 16 kHz.
        ms: milliseconds from the start of the source to its first sample.
        at: seconds on the source's clock when its last sample was in the air.
        lost: the samples are not what the room sounded like: they went missing, or the
            tool itself was speaking.  To be passed on to the endpointer.

    """

    samples: Samples
    ms: int
    at: float
    lost: bool = False


class Source(Protocol):
    """An iterator of blocks with a clock of its own."""

    def __iter__(self) -> Iterator[Block]:
        """Yield blocks until the sound ends or the source is closed."""
        ...

    def clock(self) -> float:
        """Return the seconds that ``Block.at`` is measured in."""
        ...

    def close(self) -> None:
        """End the iteration and let go of the device."""
        ...


class FileSource:
    """Plays a sound file as if it were a microphone.

    Args:
        path: any file that :func:`voicelog.audio.files.read` takes.
        realtime: wait as long as the sound lasts; otherwise as fast as it is taken, with a
            clock that runs with the sound.
        clock, sleep: of the real world, to be replaced in tests.

    """

    def __init__(
        self,
        path: Path | str,
        *,
        realtime: bool = False,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._path = path
        self._realtime = realtime
        self._now = clock
        self._sleep = sleep
        self._start = clock() if realtime else 0.0
        self._played = 0
        self._closed = False

    def clock(self) -> float:
        """Return real seconds, or the seconds of sound played so far."""
        return self._now() if self._realtime else self._played * BLOCK_S

    def __iter__(self) -> Iterator[Block]:
        """Yield the file's blocks; raises the errors of :func:`voicelog.audio.files.read`."""
        if self._realtime:
            self._start = self._now()
        for samples in reblocked(stream(self._path)):
            if self._closed:
                return
            at = self._start + (self._played + 1) * BLOCK_S
            if self._realtime and (early := at - self._now()) > 0:
                self._sleep(early)
            self._played += 1
            yield Block(samples, (self._played - 1) * WINDOW_MS, at)

    def close(self) -> None:
        """End the iteration at the next block."""
        self._closed = True


class Gate:
    """Lets nothing through that was in the air while the tool spoke, nor shortly after.

    Blocks go on coming, so that time goes on, but they are silent and marked ``lost``.
    What counts is when a block was in the air, not when it is taken from the queue.

    Args:
        source: what is listened to.
        tail_s: how long a room goes on sounding after the speaker stops.

    """

    def __init__(self, source: Source, tail_s: float = 0.2) -> None:
        self._source = source
        self._tail = tail_s
        self._lock = threading.Lock()
        self._deaf: list[list[float]] = []

    @contextmanager
    def deaf(self) -> Iterator[None]:
        """Be deaf while the body runs; may be used from another thread, and nested."""
        span = [self.clock(), float("inf")]
        with self._lock:
            self._deaf.append(span)
        try:
            yield
        finally:
            span[1] = self.clock() + self._tail

    def clock(self) -> float:
        """Return the source's clock."""
        return self._source.clock()

    def close(self) -> None:
        """Close the source."""
        self._source.close()

    def __iter__(self) -> Iterator[Block]:
        """Yield the source's blocks, those heard while deaf made silent."""
        for block in self._source:
            if self._is_deaf(block):
                yield replace(block, samples=np.zeros(WINDOW, np.float32), lost=True)
            else:
                yield block

    def _is_deaf(self, block: Block) -> bool:
        begin = block.at - BLOCK_S
        with self._lock:
            self._deaf = [span for span in self._deaf if span[1] > begin]
            return any(span[0] < block.at for span in self._deaf)


def reblocked(pieces: Iterable[Samples]) -> Iterator[Samples]:
    """Yield the joined pieces in windows of 512 samples, the last padded with silence."""
    rest = np.zeros(0, np.float32)
    for piece in pieces:
        joined = np.concatenate([rest, piece])
        whole = len(joined) - len(joined) % WINDOW
        for start in range(0, whole, WINDOW):
            yield joined[start : start + WINDOW]
        rest = joined[whole:]
    if len(rest):
        yield np.pad(rest, (0, WINDOW - len(rest)))
