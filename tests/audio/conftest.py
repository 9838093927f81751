"""A sound driver in memory instead of the machine's."""

import sys

import pytest

from tests.audio.fakes import FakeSound, device


@pytest.fixture
def sound(monkeypatch: pytest.MonkeyPatch) -> FakeSound:
    made = FakeSound(
        devices=[
            device(0, "Built-in Microphone", 2, 0),
            device(1, "Built-in Speaker", 0, 2),
            device(2, "USB headset", 1, 2, 44_100.0),
        ]
    )
    monkeypatch.setitem(sys.modules, "sounddevice", made)
    return made
