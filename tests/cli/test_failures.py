"""Whatever goes wrong: an exit code, one plain sentence with the fix, and no traceback."""

import re
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from tests.audio.fakes import FakeSound, device
from tests.cli.conftest import Ran, Run
from voicelog import data
from voicelog.audio.files import read
from voicelog.audio.sound import RATE
from voicelog.entries import Row
from voicelog.journal.errors import JournalFullError
from voicelog.journal.store import Journal
from voicelog.recognition import prepare
from voicelog.recognition.protocol import Recognition
from voicelog.runner import recording

SPOKEN = str(data.folder("demo_audio") / "late_call.flac")


def told(ran: Ran, *, code: int = 1) -> str:
    """Check that a run failed as it should and return its one sentence."""
    assert ran.code == code
    (line,) = ran.err.splitlines()
    assert "Traceback" not in line
    assert re.match(r"[A-Z'/]", line), "it starts like a sentence"
    assert line.endswith("."), "it ends like a sentence"
    return line


NEEDS_A_PLAN = [
    ("today",),
    ("normal",),
    ("say", "two passes"),
    ("hear", SPOKEN),
    ("listen",),
    ("plan", "check"),
    ("plan", "show"),
]


@pytest.mark.parametrize("command", NEEDS_A_PLAN, ids=lambda command: command[0])
def test_without_a_plan_the_way_to_one_is_told(run: Run, command: tuple[str, ...]) -> None:
    assert "voicelog plan new" in told(run(*command))


PLANS = {
    "not TOML": ("[child\nname =", "cannot be read"),
    "no name": ("[child]\nage_group = 'child'", "child.name is missing"),
    "low above high": (
        "[child]\nname = 'R'\nage_group = 'child'\n"
        "[suction]\npressure_mmhg_low = 120\npressure_mmhg_high = 80",
        "the low one must be smaller",
    ),
    "impossible number": (
        "[child]\nname = 'R'\nage_group = 'child'\n[watch]\nspo2_low = 920",
        "give a number from 50 to 100",
    ),
    "no such key": ("[child]\nname = 'R'\nage_group = 'child'\ncolour = 1", "not a known key"),
}


@pytest.mark.parametrize("case", PLANS, ids=str)
@pytest.mark.parametrize("command", NEEDS_A_PLAN, ids=lambda command: command[0])
def test_a_broken_plan(run: Run, home: Path, case: str, command: tuple[str, ...]) -> None:
    text, expected = PLANS[case]
    home.mkdir()
    (home / "plan.toml").write_text(text)
    assert expected in told(run(*command))


SETTINGS = {
    "ENGINE": ("nonsense", "'moonshine' or 'vosk'"),
    "LANGUAGE": ("English", "VOICELOG_LANGUAGE"),
    "VOICE_RATE": ("fast", "VOICELOG_VOICE_RATE"),
    "GRAMMARS": ("/no/such/folder", "There is no folder /no/such/folder"),
}


@pytest.mark.parametrize("name", SETTINGS)
def test_a_setting_that_cannot_be(run: Run, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    value, expected = SETTINGS[name]
    monkeypatch.setenv(f"VOICELOG_{name}", value)
    assert expected in told(run("say", "--dry-run", "two passes"))


def test_a_language_that_is_not_there(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VOICELOG_LANGUAGE", "xx")
    assert "choose one of en" in told(run("say", "--dry-run", "two passes"))


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the grammars that the user may spoil."""
    shutil.copytree(data.folder("grammars"), tmp_path / "own")
    monkeypatch.setenv("VOICELOG_GRAMMARS", str(tmp_path / "own"))
    return tmp_path / "own"


def emptied(folder: Path) -> None:
    shutil.rmtree(folder)
    folder.mkdir()


def swapped(name: str) -> Callable[[Path], None]:
    """Put a folder where a file should be: even an administrator cannot read it."""

    def spoil(folder: Path) -> None:
        (folder / name).unlink()
        (folder / name).mkdir()

    return spoil


def _spoil_rule(path: Path) -> None:
    path.write_text(re.sub(r"(?m)^  is: .*", "  is: (oops", path.read_text(), count=1))


def written(name: str, text: str) -> Callable[[Path], None]:
    return lambda folder: (folder / name).write_text(text) and None


SPOILT = {
    "empty folder": (emptied, "There is no grammar"),
    "no YAML": (written("en/colour.yaml", "slot: [colour"), "colour.yaml is broken"),
    "empty file": (
        lambda folder: (folder / "en/colour.yaml").write_text("") and None,
        "colour.yaml is broken: it is empty. Mend",
    ),
    "a list": (written("en/colour.yaml", "- a"), "it is no table of names and values"),
    "line": (written("en/colour.yaml", "slot: a\ntype: [b\n"), "is broken: look at line 3 or"),
    "bad rule": (
        lambda folder: _spoil_rule(folder / "en/_language.yaml"),
        "_language.yaml is broken: the phrase '(oops'",
    ),
    "unknown key": (
        written("en/colour.yaml", "slot: colour\ntype: choice\nsay: x"),
        "colour.yaml is broken",
    ),
    "bad template": (
        written("en/zz.yaml", "slot: zz\ntype: text\nphrases:\n - say: ['(a|b']\n   is: c"),
        "zz.yaml is broken: the phrase '(a|b' cannot be read (')' is missing)",
    ),
    "not UTF-8": (
        lambda folder: (folder / "en/colour.yaml").write_bytes(b"\xff\xfe") and None,
        "colour.yaml is broken",
    ),
    "a folder for a file": (swapped("en/colour.yaml"), "colour.yaml cannot be read"),
    "manners": (written("_dialogue.yaml", "tries: never"), "_dialogue.yaml is broken"),
    "manners gone": (lambda folder: (folder / "_dialogue.yaml").unlink(), "_dialogue.yaml"),
    "replies": (written("en/_replies.yaml", "language: en"), "replies in 'en' are broken"),
    "replies gone": (
        lambda folder: (folder / "en/_replies.yaml").unlink(),
        "The file _replies.yaml is missing from",
    ),
}


@pytest.mark.usefixtures("planned")
@pytest.mark.parametrize("case", SPOILT, ids=str)
def test_spoilt_grammars(run: Run, own: Path, case: str) -> None:
    spoil, expected = SPOILT[case]
    spoil(own)
    ran = run("say", "two passes")
    assert expected in told(ran)
    assert ran.out == ""


@pytest.mark.usefixtures("planned", "quick")
def test_spoilt_words_for_speech(run: Run, own: Path) -> None:
    (own / "en/_speech.yaml").write_text("language: en")
    assert "_speech.yaml" in run("demo").err


def cut_wav(path: Path) -> None:
    soundfile.write(path, np.zeros(16_000, np.float32), 16_000)
    path.write_bytes(path.read_bytes()[:-9000])


SOUNDS: dict[str, tuple[Callable[[Path], Any], str]] = {
    "missing": (lambda path: None, "There is no file"),
    "empty": (lambda path: path.touch(), "is empty"),
    "text": (lambda path: path.write_text("this is no sound"), "is not a sound file"),
    "a folder": (lambda path: path.mkdir(), "is not a sound file"),
    "cut": (cut_wav, "is cut short"),
    "no frames": (lambda path: soundfile.write(path, np.zeros(0), 16_000), "is empty"),
    "not numbers": (
        lambda path: soundfile.write(path, np.full(99, np.nan), 16_000, subtype="FLOAT"),
        "cannot be read",
    ),
}


@pytest.mark.usefixtures("planned", "quick")
@pytest.mark.parametrize("options", [("--json", "--dry-run"), ()], ids=["dry", "into the log"])
@pytest.mark.parametrize("case", SOUNDS)
def test_a_file_that_cannot_be_heard(
    run: Run, tmp_path: Path, case: str, options: tuple[str, ...]
) -> None:
    make, expected = SOUNDS[case]
    make(tmp_path / "bad [1].wav")
    ran = run("hear", *options, "bad [1].wav")
    assert expected in told(ran)
    assert "bad [1].wav" in ran.err
    assert ran.out == ""


def test_a_model_that_is_not_there(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(prepare.util, "find_spec", lambda name: None)
    assert "run 'voicelog model'" in told(run("hear", "--dry-run", SPOKEN))


def test_a_model_that_is_none(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in prepare.SHIPPED:
        (tmp_path / name).write_bytes(b"no model")
    monkeypatch.setenv("VOICELOG_MODEL", str(tmp_path))
    monkeypatch.setenv("VOICELOG_CACHE", str(tmp_path / "cache"))
    ran = run("hear", "--dry-run", SPOKEN)
    assert ran.code == 1
    assert "is damaged" in ran.err.splitlines()[-1]
    assert "Traceback" not in ran.err


def test_no_place_for_the_model(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setenv("VOICELOG_CACHE", str(tmp_path / "file" / "cache"))
    assert "VOICELOG_CACHE" in told(run("hear", "--dry-run", SPOKEN))


def test_an_engine_for_another_language(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VOICELOG_LANGUAGE", "ko")
    line = told(run("hear", "--dry-run", "--engine", "moonshine", SPOKEN))
    assert "choose the engine 'vosk'" in line


def other_child(path: Path) -> None:
    with Journal.open(path, child="Robin"):
        pass


JOURNALS: dict[str, tuple[Callable[[Path], Any], str]] = {
    "garbage": (lambda path: path.write_bytes(b"garbage" * 999), "is damaged"),
    "empty": (lambda path: path.touch(), "is damaged"),
    "another child's": (other_child, "belongs to Robin, not to Juniper"),
    "a folder": (lambda path: path.mkdir(), "cannot be written"),
}


@pytest.mark.parametrize("command", [("say", "two passes"), ("today",), ("normal",)], ids=str)
@pytest.mark.parametrize("case", JOURNALS)
def test_a_journal_that_cannot_be_used(
    run: Run, planned: Path, case: str, command: tuple[str, ...]
) -> None:
    make, expected = JOURNALS[case]
    make(planned / "journal.sqlite")
    ran = run(*command)
    assert expected in told(ran)
    assert ran.out == ""


@pytest.mark.parametrize("command", [("today",), ("normal",)], ids=str)
def test_nothing_logged_yet(run: Run, planned: Path, command: tuple[str, ...]) -> None:
    assert "log something first" in told(run(*command))


class Crying:
    """A recogniser that hears an emergency in everything."""

    def decode(self, *_: object) -> Recognition:
        return Recognition(outcome="understood", slots={"action": "emergency"}, text="emergency")

    def expect(self, *_: object) -> None:
        pass


@pytest.mark.usefixtures("cut_off")
@pytest.mark.parametrize(
    "command",
    [("say", "emergency"), ("hear", "cry.wav"), ("listen", "--silent", "--play", "cry.wav")],
    ids=lambda command: command[0],
)
def test_an_emergency_is_answered_without_a_journal(run: Run, command: tuple[str, ...]) -> None:
    ran = run(*command)
    assert ran.code == 1
    assert "Follow the emergency plan. Call 9 1 1." in ran.out
    assert re.search(r"Emergency time not saved\. Write down \d\d:\d\d\.", ran.out)
    assert "Saved" not in ran.out
    first, last = ran.err.splitlines()
    assert "is damaged" in first
    assert re.match(r"This is not in the log: emergency at \d\d:\d\d\.", last)


@pytest.fixture
def cut_off(planned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A journal that cannot be opened, and a short recording of a cry."""
    (planned / "journal.sqlite").touch()
    part = recording.segments(read(Path(SPOKEN)))[1]
    audio = np.pad(part.audio, (2 * RATE, RATE))  # nothing is heard while the fault is told
    soundfile.write(tmp_path / "cry.wav", audio, RATE)
    monkeypatch.setattr("voicelog.cli.common.engine", lambda rules, name: Crying())


@pytest.mark.usefixtures("cut_off")
def test_without_a_journal_hearing_ends_as_a_failure(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    nothing = Recognition(outcome="not_understood")
    monkeypatch.setattr(Crying, "decode", lambda *_: nothing)
    ran = run("hear", "cry.wav")
    assert "is damaged" in told(ran)
    assert "I can't save now." in ran.out


def test_a_second_writer(run: Run, planned: Path) -> None:
    with Journal.open(planned / "journal.sqlite", child="Juniper"):
        assert "Another program is writing" in told(run("say", "two passes"))


def test_a_home_that_cannot_be_written(
    run: Run, tmp_path: Path, planned: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setenv("VOICELOG_PLAN", str(planned / "plan.toml"))
    monkeypatch.setenv("VOICELOG_HOME", str(tmp_path / "file" / "home"))
    assert "cannot be written" in told(run("say", "two passes"))
    assert "cannot be written" in told(run("plan", "new", "R", "--path", "file/plan.toml"))


@pytest.mark.usefixtures("planned", "quick")
@pytest.mark.parametrize("command", [("say", "two passes"), ("hear", SPOKEN)], ids=lambda c: c[0])
def test_a_full_disk_is_told_and_never_called_saved(
    run: Run, monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]
) -> None:
    def refuse(*_: object) -> Row:
        raise JournalFullError("the journal")

    monkeypatch.setattr(Journal, "append", refuse)
    ran = run(*command)
    assert ran.code == 1
    assert "Not saved. The disk is full. Make some room." in ran.out
    assert "Saved" not in ran.out.replace("Not saved", "")
    assert "The disk is full, so the journal cannot grow: free some space." in ran.err
    assert ran.err.splitlines()[-1].endswith("Write it down on paper.")
    assert "Traceback" not in ran.err


@pytest.mark.usefixtures("planned", "no_library")
def test_listening_without_portaudio(run: Run) -> None:
    assert "sudo apt install libportaudio2" in told(run("listen"))


HEADLESS: dict[str, tuple[list[dict[str, Any]], tuple[str, ...], str]] = {
    "no microphone": ([device(0, "Speaker", 0, 2)], (), "There is no microphone"),
    "no such microphone": ([device(0, "Mic", 1, 0)], ("--device", "x"), "voicelog check"),
    "no such number": ([device(0, "Mic", 1, 0)], ("--device", "7"), "no microphone '7'"),
    "no speaker": ([device(0, "Mic", 1, 0)], (), "There is no speaker"),
}


@pytest.mark.usefixtures("planned")
@pytest.mark.parametrize("case", HEADLESS)
def test_listening_without_devices(run: Run, monkeypatch: pytest.MonkeyPatch, case: str) -> None:
    devices, options, expected = HEADLESS[case]
    monkeypatch.setitem(sys.modules, "sounddevice", FakeSound(devices=devices))
    assert expected in told(run("listen", *options))


@pytest.mark.usefixtures("planned", "quick")
def test_listening_with_a_voice_that_is_not_there(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    sound = FakeSound(devices=[device(0, "Mic", 1, 0), device(1, "Speaker", 0, 2)])
    monkeypatch.setitem(sys.modules, "sounddevice", sound)
    monkeypatch.setenv("VOICELOG_VOICE", "no-such-voice")
    monkeypatch.setenv("VOICELOG_CACHE", str(tmp_path / "cache"))
    assert "no voice called 'no-such-voice'" in told(run("listen"))


@pytest.mark.usefixtures("planned")
def test_pictures_that_cannot_be_made(run: Run) -> None:
    assert run("say", "two passes").code == 0
    assert "end it with .png or .svg" in told(run("normal", "--picture", "x.gif"))
    assert "cannot be written" in told(run("normal", "--picture", "no/x.png"))


@pytest.mark.parametrize("name", ["", " ", "x" * 41, "a\nb"])
def test_a_name_that_no_plan_may_hold(run: Run, home: Path, name: str) -> None:
    assert "child.name" in told(run("plan", "new", name))
    assert not home.exists()
