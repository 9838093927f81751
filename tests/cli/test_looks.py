"""What the check looks at, one by one."""

import shutil
import sqlite3
from collections import namedtuple
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from voicelog import data
from voicelog.audio.portaudio import Device, Devices
from voicelog.cli import looks
from voicelog.cli.looks import Look, look
from voicelog.errors import VoicelogError
from voicelog.journal.store import Journal
from voicelog.recognition.prepare import ModelDamagedError

MIC = Device(3, "Headset", 1, 48_000, default=False)
DEFAULT = Device(5, "Built-in", 2, 48_000, default=True)


def test_the_microphone_that_is_used_is_named() -> None:
    assert looks.microphone(Devices((MIC, DEFAULT))) == "Built-in (number 5, 1 more)"
    assert looks.microphone(Devices((MIC,))) == "Headset (number 3)"


def test_only_what_is_missing_is_missing() -> None:
    found = Devices(microphones=(MIC,), problem="There is no speaker: plug one in.")
    assert looks.microphone(found) == "Headset (number 3)"
    with pytest.raises(looks.MissingError, match="There is no speaker"):
        looks.speaker(found)


def test_why_there_are_no_devices_is_told() -> None:
    with pytest.raises(looks.MissingError, match="libportaudio2"):
        looks.microphone(Devices(problem="The sound library libportaudio2 is missing."))


def test_a_look_that_fails_is_told() -> None:
    def fail() -> str:
        raise VoicelogError("It is not there: get one.")

    def crash() -> str:
        raise ZeroDivisionError("by zero")

    assert look("x", lambda: "fine") == Look("x", True, "fine", True)
    assert look("x", fail, needed=False) == Look("x", False, "It is not there: get one.", False)
    assert look("x", crash).said == "It cannot be looked at (by zero)."


@pytest.mark.usefixtures("home")
def test_the_voice_speaks() -> None:
    assert looks.voice().startswith("espeak, ")


@pytest.mark.usefixtures("home")
def test_a_voice_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VOICELOG_VOICE", "no-such-voice")
    with pytest.raises(looks.MissingError, match="no-such-voice"):
        looks.voice()


@pytest.mark.usefixtures("home")
def test_a_prepared_model_that_was_damaged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, model_folder: Path
) -> None:
    assert str(model_folder) in looks.model()
    monkeypatch.setenv("VOICELOG_CACHE", str(tmp_path))
    looks.common.settings.cache_clear()
    assert "made ready when first used" in looks.model()
    (tmp_path / model_folder.name).mkdir()
    with pytest.raises(ModelDamagedError, match="voicelog model --again"):
        looks.model()


@pytest.mark.usefixtures("planned")
def test_the_grammar_is_told_with_its_place(monkeypatch: pytest.MonkeyPatch) -> None:
    assert looks.grammar().startswith("en-")
    own = shutil.copytree(data.folder("grammars"), "own")
    monkeypatch.setenv("VOICELOG_GRAMMARS", str(own))
    looks.common.settings.cache_clear()
    assert looks.grammar().endswith(" in own")


@pytest.mark.usefixtures("home")
def test_what_the_plan_lacks_is_told(run: Run) -> None:
    run("plan", "new", "Robin")
    assert looks.plan().startswith("for Robin; still to fill in: phones.emergency")


@pytest.mark.usefixtures("planned")
def test_a_plan_that_lacks_nothing() -> None:
    assert looks.plan() == "for Juniper"


def test_the_journal_is_counted(run: Run, planned: Path) -> None:
    assert looks.journal() == "nothing logged yet"
    run("say", "two passes")
    assert looks.journal().endswith("rows, all as they were written")


def test_a_row_that_was_changed_is_found(run: Run, planned: Path) -> None:
    run("say", "two passes")
    path = planned / "journal.sqlite"
    with Journal.open(path, child="Juniper"):
        pass  # closing it folds the log into the file
    with sqlite3.connect(path) as raw:
        for (trigger,) in raw.execute("SELECT name FROM sqlite_schema WHERE type='trigger'"):
            raw.execute(f"DROP TRIGGER {trigger}")
        raw.execute("UPDATE rows SET slots = replace(slots, '2', '3')")
    raw.close()
    with pytest.raises(looks.JournalBrokenError, match="was changed"):
        looks.journal()


@pytest.mark.usefixtures("home")
def test_a_disk_that_is_nearly_full(monkeypatch: pytest.MonkeyPatch) -> None:
    assert looks.disk().endswith(" MB free")
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage(10**9, 10**9 - 10**7, 10**7))
    with pytest.raises(looks.DiskFullSoonError, match="Only 10 MB are free"):
        looks.disk()


def test_what_others_can_read_is_told(planned: Path) -> None:
    planned.chmod(0o755)
    (planned / "plan.toml").chmod(0o644)
    with pytest.raises(looks.OthersCanReadError, match=r"chmod go-rwx .*plan\.toml"):
        looks.rights()
    (planned / "plan.toml").chmod(0o600)
    assert "only you" in looks.rights()
    (planned / "plan.toml").chmod(0o644)
    planned.chmod(0o700)
    assert "only you" in looks.rights(), "nobody gets into the folder"


@pytest.mark.usefixtures("home")
def test_a_home_that_cannot_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setenv("VOICELOG_HOME", str(tmp_path / "file" / "home"))
    with pytest.raises(looks.NotWritableError, match="cannot be written"):
        looks.rights()


def test_versions_name_what_a_helper_would_ask_for() -> None:
    told = looks.versions()
    for name in ("voicelog", "Python", f"SQLite {sqlite3.sqlite_version}", "onnxruntime"):
        assert name in told
