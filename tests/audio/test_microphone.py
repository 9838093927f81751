"""The microphone, on a driver in memory."""

import threading
import time

import numpy as np
import pytest

from tests.audio.fakes import FakeSound
from voicelog.audio.microphone import (
    MicrophoneLostError,
    MicrophoneSource,
    MicrophoneUnavailableError,
    MicrophoneUnknownError,
    NoMicrophoneError,
)
from voicelog.audio.sound import RATE, WINDOW
from voicelog.audio.source import Block


def take(source: MicrophoneSource, count: int) -> list[Block]:
    blocks = []
    for block in source:
        blocks.append(block)
        if len(blocks) == count:
            source.close()
    return blocks


def test_blocks_come_in_order_with_times(sound: FakeSound) -> None:
    sound.hears = np.arange(10 * WINDOW, dtype=np.float32) / 1e5
    before = time.monotonic()
    blocks = take(MicrophoneSource(), 10)
    assert np.array_equal(np.concatenate([b.samples for b in blocks]), sound.hears)
    assert [block.ms for block in blocks] == [32 * n for n in range(10)]
    assert not any(block.lost for block in blocks)
    # the driver says 50 ms old at the first sample, so 18 ms at the last
    assert before - 0.02 < blocks[0].at <= time.monotonic() - 0.018


def test_another_rate_is_resampled(sound: FakeSound) -> None:
    sound.formats = {(1, 48_000)}
    times = np.arange(48_000) / 48_000
    sound.hears = (0.5 * np.sin(2 * np.pi * 440 * times)).astype(np.float32)
    blocks = take(MicrophoneSource(), 25)
    samples = np.concatenate([block.samples for block in blocks])
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    assert float(np.argmax(spectrum)) * RATE / len(samples) == pytest.approx(440, abs=2)
    assert sound.opened[0]["samplerate"] == 48_000


def test_a_device_without_mono_is_averaged(sound: FakeSound) -> None:
    sound.formats = {(2, 16_000)}
    sound.hears = np.full(4 * WINDOW, 0.25, np.float32)
    assert take(MicrophoneSource(), 4)[0].samples == pytest.approx(0.25)
    assert sound.opened[0]["channels"] == 2


def test_samples_that_the_driver_lost_are_marked(sound: FakeSound) -> None:
    sound.hears = np.ones(6 * WINDOW, np.float32)
    sound.overflow_at = {3}
    assert [b.lost for b in take(MicrophoneSource(), 6)] == [False] * 3 + [True] + [False] * 2


def test_samples_that_nobody_took_in_time_are_marked(
    sound: FakeSound, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("voicelog.audio.microphone.BACKLOG", 2)
    sound.hears = np.ones(30 * WINDOW, np.float32)
    sound.pace = 0.005
    source = MicrophoneSource()
    blocks = []
    for block in source:
        time.sleep(0.02)
        blocks.append(block)
        if len(blocks) == 6:
            source.close()
    assert any(block.lost for block in blocks)


@pytest.mark.parametrize(("device", "name"), [(None, "Built-in"), (2, "USB"), ("USB", "USB")])
def test_a_microphone_is_chosen_by_number_or_name(
    sound: FakeSound, device: int | str | None, name: str
) -> None:
    assert MicrophoneSource(device).name.startswith(name)


def test_no_microphone(sound: FakeSound) -> None:
    sound.devices = [d for d in sound.devices if not d["max_input_channels"]]
    with pytest.raises(NoMicrophoneError, match="plug one in"):
        MicrophoneSource()


@pytest.mark.parametrize("device", ["Desk", 7, 1])
def test_an_unknown_microphone(sound: FakeSound, device: int | str) -> None:
    with pytest.raises(MicrophoneUnknownError, match="voicelog check"):
        MicrophoneSource(device)


def test_a_microphone_that_is_in_use(sound: FakeSound) -> None:
    sound.busy = True
    with pytest.raises(MicrophoneUnavailableError, match="Device unavailable"):
        next(iter(MicrophoneSource()))


def test_a_microphone_that_takes_no_format(sound: FakeSound) -> None:
    sound.formats = set()
    with pytest.raises(MicrophoneUnavailableError, match="Invalid sample rate"):
        next(iter(MicrophoneSource()))


def test_a_microphone_that_goes_quiet_is_gone(sound: FakeSound) -> None:
    sound.hears = np.ones(3 * WINDOW, np.float32)
    seen: list[Block] = []
    with pytest.raises(MicrophoneLostError, match="check its plug"):
        seen.extend(MicrophoneSource(stall_s=0.2))
    source = iter(MicrophoneSource(stall_s=0.2))
    assert [next(source).ms for _ in range(3)] == [0, 32, 64]
    with pytest.raises(MicrophoneLostError):
        next(source)


def test_closing_from_another_thread_ends_the_iteration(sound: FakeSound) -> None:
    sound.dead = True
    source = MicrophoneSource(stall_s=30)
    timer = threading.Timer(0.05, source.close)
    timer.start()
    assert list(source) == []
    timer.join()
    assert source.clock() > 0
