"""Blocks from files in real time and as fast as possible, and the gate while we speak."""

import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from voicelog.audio.endpoint import Endpointer
from voicelog.audio.events import LIVE, SpeechEnd
from voicelog.audio.files import SoundFileMissingError, read
from voicelog.audio.sound import RATE, WINDOW, Samples
from voicelog.audio.source import BLOCK_S, Block, FileSource, Gate, reblocked
from voicelog.audio.vad import NoiseFloor


@pytest.fixture
def path(tmp_path: Path) -> Path:
    rising = np.linspace(0, 0.9, RATE + 100, dtype=np.float32)
    soundfile.write(tmp_path / "rising.wav", rising, RATE, subtype="FLOAT")
    return tmp_path / "rising.wav"


def test_a_file_is_played_whole_and_in_order(path: Path) -> None:
    blocks = list(FileSource(path))
    joined = np.concatenate([block.samples for block in blocks])
    samples = read(path)
    assert np.array_equal(joined[: len(samples)], samples)
    assert not joined[len(samples) :].any()
    assert [block.ms for block in blocks] == [32 * n for n in range(len(blocks))]
    assert all(len(block.samples) == WINDOW and not block.lost for block in blocks)


def test_fast_playing_has_a_clock_that_runs_with_the_sound(path: Path) -> None:
    source = FileSource(path)
    assert source.clock() == 0
    for number, block in enumerate(source, 1):
        assert block.at == source.clock() == pytest.approx(number * BLOCK_S)


def test_real_time_playing_waits_as_long_as_the_sound_lasts(path: Path) -> None:
    now = 100.0
    slept: list[float] = []

    def sleep(seconds: float) -> None:
        nonlocal now
        slept.append(seconds)
        now += seconds

    source = FileSource(path, realtime=True, clock=lambda: now, sleep=sleep)
    blocks = list(source)
    assert sum(slept) == pytest.approx(len(blocks) * BLOCK_S)
    assert blocks[-1].at == pytest.approx(now)


def test_a_slow_taker_is_not_made_to_wait(path: Path) -> None:
    now = 0.0

    def sleep(_: float) -> None:
        raise AssertionError("slept although late")

    source = iter(FileSource(path, realtime=True, clock=lambda: now, sleep=sleep))
    now = 10.0
    source = iter(FileSource(path, realtime=True, clock=lambda: now, sleep=lambda _: None))
    next(source)
    now += 10.0
    assert next(source).at < now


def test_closing_ends_the_iteration(path: Path) -> None:
    source = FileSource(path)
    seen = 0
    for _ in source:
        seen += 1
        if seen == 3:
            source.close()
    assert seen == 3


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(SoundFileMissingError):
        next(iter(FileSource(tmp_path / "gone.wav")))


@given(st.lists(st.integers(0, 1500), max_size=8))
def test_reblocking_neither_loses_nor_adds(lengths: list[int]) -> None:
    whole = np.arange(1, sum(lengths) + 1, dtype=np.float32)
    pieces = np.split(whole, np.cumsum(lengths)[:-1]) if lengths else []
    blocks = list(reblocked(pieces))
    assert all(len(block) == WINDOW for block in blocks)
    joined = np.concatenate([*blocks, np.zeros(0, np.float32)])
    assert np.array_equal(joined[: len(whole)], whole)
    assert len(joined) - len(whole) < WINDOW
    assert not joined[len(whole) :].any()


class Ones:
    """A source of ones whose blocks were captured earlier than they are taken."""

    def __init__(self, count: int) -> None:
        self.now = 0.0
        self.blocks = [
            Block(np.ones(WINDOW, np.float32), 32 * n, (n + 1) * BLOCK_S) for n in range(count)
        ]

    def clock(self) -> float:
        return self.now

    def close(self) -> None:
        self.blocks.clear()

    def __iter__(self) -> Iterator[Block]:
        yield from self.blocks


def lost(blocks: list[Block]) -> list[int]:
    return [block.ms // 32 for block in blocks if block.lost]


def test_the_gate_is_shut_by_when_a_block_was_in_the_air() -> None:
    source = Ones(100)
    gate = Gate(source, tail_s=0.1)
    source.now = 20.5 * BLOCK_S
    with gate.deaf():
        source.now = 30.5 * BLOCK_S
    source.now = 100 * BLOCK_S  # all are taken long after the tool spoke
    blocks = list(gate)
    assert lost(blocks) == list(range(20, 34))  # until 30.5 blocks and 0.1 s
    assert [block.ms for block in blocks] == [32 * n for n in range(100)]
    for block in blocks:
        assert block.samples.any() != block.lost


def test_while_the_tool_speaks_everything_is_lost() -> None:
    source = Ones(10)
    gate = Gate(source)
    with gate.deaf():
        assert lost(list(gate)) == list(range(10))


def test_speaking_twice_at_once_is_deaf_until_both_end() -> None:
    source = Ones(50)
    gate = Gate(source, tail_s=0)
    source.now = 10 * BLOCK_S
    with gate.deaf():
        source.now = 20 * BLOCK_S
        with gate.deaf():
            source.now = 25 * BLOCK_S
        source.now = 40 * BLOCK_S
    assert lost(list(gate)) == list(range(10, 40))


def test_a_failure_while_speaking_opens_the_gate_again() -> None:
    source = Ones(20)
    gate = Gate(source, tail_s=0)

    def speak() -> None:
        with gate.deaf():
            source.now = 5 * BLOCK_S
            raise OSError

    with pytest.raises(OSError):  # noqa: PT011
        speak()
    assert lost(list(gate)) == list(range(5))


def test_the_gate_may_be_shut_from_another_thread() -> None:
    gate = Gate(Ones(5))
    with gate.deaf():
        found: list[Block] = []
        worker = threading.Thread(target=lambda: found.extend(gate))
        worker.start()
        worker.join()
    assert lost(found) == list(range(5))


def test_closing_the_gate_closes_the_source() -> None:
    gate = Gate(Ones(5))
    gate.close()
    assert list(gate) == []
    assert gate.clock() == 0


def test_a_sentence_that_the_tool_speaks_into_is_cut() -> None:
    """Half a sentence must not become an entry: through gate and endpointer together."""

    class Loud(Ones):
        pass

    class Always:
        def __call__(self, window: Samples) -> float:
            return 0.9 if window.any() else 0.0

        def reset(self) -> None:
            pass

    source = Loud(60)
    gate = Gate(source, tail_s=0.1)
    source.now = 30 * BLOCK_S
    with gate.deaf():
        source.now = 40 * BLOCK_S
    endpointer = Endpointer(Always(), LIVE, NoiseFloor(cap_db=-60))
    events = [e for b in gate for e in endpointer.feed(b.samples, lost=b.lost)]
    ends = [event for event in (*events, *endpointer.flush()) if isinstance(event, SpeechEnd)]
    assert [end.cut for end in ends] == [True, True]
