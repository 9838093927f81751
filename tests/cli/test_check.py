"""The check: one line each, and an exit code for what the log cannot do without."""

import sys
from pathlib import Path

import pytest

from tests.audio.fakes import FakeSound, device
from tests.cli.conftest import Ran, Run

NAMES = [
    "microphone",
    "speaker",
    "voice",
    "model",
    "grammar",
    "plan",
    "journal",
    "disk",
    "rights",
    "versions",
]


def states(ran: Ran) -> dict[str, str]:
    """Return the state of each line, by its name."""
    lines = [line.split() for line in ran.out.splitlines()]
    return {name: state for state, name, *_ in lines}


def plugged(monkeypatch: pytest.MonkeyPatch, *devices: dict[str, object]) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", FakeSound(devices=list(devices)))


def test_all_is_there(run: Run, planned: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plugged(monkeypatch, device(0, "Mic", 1, 0), device(1, "Speaker", 0, 2))
    ran = run("check", "--live")
    assert states(ran) == dict.fromkeys(NAMES, "ok"), ran.out
    assert ran.code == 0
    assert ran.err == ""


@pytest.mark.usefixtures("planned")
def test_without_devices_only_live_use_fails(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    plugged(monkeypatch)
    ran = run("check")
    assert ran.code == 0
    assert states(ran)["microphone"] == states(ran)["speaker"] == "missing"
    assert "plug one in. (Only live use needs it.)" in ran.out
    live = run("check", "--live")
    assert live.code == 1
    assert "Only live use" not in live.out


def test_without_a_plan_it_fails_and_names_the_way_to_one(run: Run) -> None:
    ran = run("check")
    assert ran.code == 1
    assert states(ran)["plan"] == "missing"
    assert "voicelog plan new" in ran.out


def test_one_broken_thing_does_not_hide_the_others(run: Run, planned: Path) -> None:
    (planned / "plan.toml").write_text("[child")
    ran = run("check")
    assert ran.code == 1
    assert list(states(ran)) == NAMES
    assert [name for name, state in states(ran).items() if state == "missing"][-1] == "plan"
