"""The voice detector and the noise floor, on made sounds with known levels."""

import numpy as np
import pytest

from voicelog.audio.endpoint import Endpointer, segments, windows
from voicelog.audio.events import LIVE
from voicelog.audio.sound import RATE, WINDOW, Samples, level_db
from voicelog.audio.vad import NoiseFloor, SileroVad, WindowSizeError


def at_level(samples: Samples, db: float) -> Samples:
    return (samples * 10 ** ((db - level_db(samples)) / 20)).astype(np.float32)


def room(seconds: float, db: float = -65.0) -> Samples:
    noise = np.random.default_rng(2).standard_normal(round(seconds * RATE))
    return at_level(noise.astype(np.float32), db)


def pump(seconds: float, db: float) -> Samples:
    """Return a motor: 29 harmonics of 50 Hz, broad noise, and a 12 Hz beat."""
    rng = np.random.default_rng(3)
    times = np.arange(round(seconds * RATE)) / RATE
    hum = sum(np.sin(2 * np.pi * 50 * k * times + rng.uniform(0, 6)) / k for k in range(1, 30))
    sound = (hum / np.std(hum) + 0.7 * rng.standard_normal(len(times))) * (
        1 + 0.3 * np.sin(2 * np.pi * 12 * times)
    )
    return at_level(sound.astype(np.float32), db)


class Stuck:
    """A detector that takes everything for speech."""

    def __call__(self, window: Samples) -> float:
        return 0.9

    def reset(self) -> None:
        pass


@pytest.mark.parametrize("db", [-45.0, -25.0])
def test_a_steady_pump_cannot_hold_an_utterance_open(db: float) -> None:
    """Even with a detector that sticks on, the floor ends it after its memory of 4 s."""
    endpointer = Endpointer(Stuck(), LIVE, NoiseFloor())
    told = []
    for part in windows(np.concatenate([room(8), pump(30, db)])):
        told += [(type(event), endpointer.ms) for event in endpointer.feed(part)]
    assert not endpointer.speaking
    assert max(ms for _, ms in told) < 8000 + 4000 + 2 * LIVE.end_ms


def test_the_floor_settles_on_the_room_and_then_on_the_pump() -> None:
    floor = NoiseFloor()
    for part in windows(room(6, -60)):
        floor.above(part)
    assert floor.db == pytest.approx(-60, abs=1)
    for part in windows(pump(6, -30)):
        floor.above(part)
    assert floor.db == pytest.approx(-30, abs=2.5)


def test_the_floor_never_rises_above_its_cap() -> None:
    floor = NoiseFloor(cap_db=-20)
    heard = [floor.above(part) for part in windows(pump(8, -8))]
    assert floor.db == -20
    assert all(heard), "a very loud room shuts nobody out"


def test_blanked_windows_do_not_lower_the_floor() -> None:
    floor = NoiseFloor()
    for part in windows(room(5, -50)):
        floor.above(part)
    before = floor.db
    assert not floor.above(np.zeros(WINDOW, np.float32))
    assert floor.db == before


def test_reset_forgets_the_room() -> None:
    floor = NoiseFloor(cap_db=-20)
    for part in windows(room(5, -50)):
        floor.above(part)
    floor.reset()
    assert floor.db == -20


@pytest.mark.parametrize("made", [room(8, -50), pump(8, -50), pump(8, -25), room(8, -20)])
def test_machines_are_not_speech(made: Samples) -> None:
    assert segments(made) == []


def test_silence_is_not_speech() -> None:
    assert segments(np.zeros(3 * RATE, np.float32)) == []


def test_the_detector_starts_afresh_after_reset() -> None:
    vad = SileroVad()
    parts = list(windows(pump(1, -30)))
    first = [vad(part) for part in parts]
    vad.reset()
    assert [vad(part) for part in parts] == first


@pytest.mark.parametrize("length", [0, 511, 513, 1024])
def test_windows_of_another_length_are_refused_with_a_message(length: int) -> None:
    with pytest.raises(WindowSizeError, match=f"not {length}"):
        SileroVad()(np.zeros(length, np.float32))


def test_level_of_a_full_sine_is_3_db_below_full_scale() -> None:
    times = np.arange(RATE) / RATE
    sine = np.sin(2 * np.pi * 100 * times).astype(np.float32)
    assert level_db(sine) == pytest.approx(-3.01, abs=0.01)
    assert level_db(np.zeros(10, np.float32)) == -120
