"""A microphone that is opened again when it is lost, while time goes on."""

import time
from collections.abc import Callable, Iterator

import numpy as np

from voicelog.audio.microphone import (
    MicrophoneLostError,
    MicrophoneUnavailableError,
    MicrophoneUnknownError,
    NoMicrophoneError,
)
from voicelog.audio.sound import WINDOW, WINDOW_MS
from voicelog.audio.source import BLOCK_S, Block, Source

RETRY_S = 2.0
"""Seconds between two tries to open a lost microphone."""

_GONE = (
    MicrophoneLostError,
    MicrophoneUnavailableError,
    MicrophoneUnknownError,
    NoMicrophoneError,
)


class SteadySource:
    """Blocks that never stop because of a plug.

    While the microphone is away, silent blocks marked ``lost`` come at the pace of real
    ones, so that clocks run on and what was being said counts as cut.

    Args:
        source: the microphone to begin with.
        again: opens it anew; raises one of the microphone's errors while it is away.
        lost: told the reason when it stops; not told again before it has worked.
        clock, sleep: of the real world, to be replaced in tests.

    """

    def __init__(
        self,
        source: Source,
        again: Callable[[], Source],
        lost: Callable[[str], None],
        *,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._source = source
        self._again, self._lost = again, lost
        self._now, self._sleep = clock, sleep
        self._closed = False
        self._number = 0

    def clock(self) -> float:
        """Return real seconds."""
        return self._now()

    def close(self) -> None:
        """End the iteration and let go of the microphone."""
        self._closed = True
        self._source.close()

    def __iter__(self) -> Iterator[Block]:
        """Yield blocks until the source ends of itself or is closed.

        Raises:
            MicrophoneUnavailableError, ...: it did not work even once.

        """
        told, worked, opened = False, False, True
        while not self._closed:
            try:
                if not opened:
                    self._source = self._again()
                    opened = True
                for block in self._source:
                    told, worked = False, True
                    yield self._numbered(block)
            except _GONE as error:
                if not worked:
                    raise
                if not told:
                    self._lost(str(error))
                told, opened = True, False
            else:
                return
            yield from self._away()

    def _away(self) -> Iterator[Block]:
        """Yield silence for as long as is waited before the next try."""
        begin = self._now()
        for count in range(1, round(RETRY_S / BLOCK_S) + 1):
            if self._closed:
                return
            early = begin + count * BLOCK_S - self._now()
            if early > 0:
                self._sleep(early)
            silent = np.zeros(WINDOW, np.float32)
            yield self._numbered(Block(silent, 0, self._now(), lost=True))

    def _numbered(self, block: Block) -> Block:
        self._number += 1
        return Block(block.samples, (self._number - 1) * WINDOW_MS, block.at, block.lost)
