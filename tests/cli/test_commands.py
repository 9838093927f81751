"""The commands as a person runs them: outputs, exit codes, plain sentences."""

import json
import re
import shutil
from pathlib import Path

import numpy as np
import pytest
import soundfile
from typer.testing import CliRunner

from voicelog import data
from voicelog.cli import common
from voicelog.cli.app import app
from voicelog.errors import VoicelogError
from voicelog.journal.store import Journal

RUN = CliRunner()
KEYS = {
    "file",
    "start_ms",
    "outcome",
    "slots",
    "text",
    "confidence",
    "alternatives",
    "audio_ms",
    "decode_ms",
}
ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("VOICELOG_HOME", str(tmp_path / "home"))
    common.settings.cache_clear()
    return tmp_path / "home"


def planned(home: Path) -> None:
    home.mkdir()
    shutil.copy(data.folder("demo_audio") / "plan.toml", home / "plan.toml")


def test_say_prints_what_a_sentence_means() -> None:
    result = RUN.invoke(app, ["say", "--json", "--dry-run", "two passes, white, thick, 3 drops"])
    line = json.loads(result.stdout)
    assert set(line) == KEYS
    assert line["outcome"] == "understood"
    assert line["slots"] == {
        "passes": 2,
        "colour": "white",
        "thickness": "thick",
        "saline_drops": 3,
    }


def test_hear_prints_one_object_an_utterance(tmp_path: Path) -> None:
    silent = tmp_path / "silent.wav"
    soundfile.write(silent, np.zeros(16_000, np.float32), 16_000)
    spoken = data.folder("demo_audio") / "suction_round.flac"
    result = RUN.invoke(app, ["hear", "--json", "--dry-run", str(silent), str(spoken)])
    lines = [json.loads(line) for line in result.stdout.splitlines()]
    assert all(set(line) == KEYS for line in lines)
    assert [line["outcome"] for line in lines if line["file"] == str(silent)] == ["not_understood"]
    heard = [line["slots"] for line in lines if line["outcome"] == "understood"]
    assert {"action": "start_suction"} in heard
    assert {"pressure_mmhg": 130} in heard


def test_a_bad_file_is_one_sentence_and_the_rest_is_heard(tmp_path: Path) -> None:
    bad = tmp_path / "bad.wav"
    bad.write_text("this is no sound")
    silent = tmp_path / "silent.wav"
    soundfile.write(silent, np.zeros(16_000, np.float32), 16_000)
    files = [str(bad), str(tmp_path / "none.wav"), str(silent)]
    result = RUN.invoke(app, ["hear", "--json", "--dry-run", *files])
    assert result.exit_code == 1
    assert len(result.stdout.splitlines()) == 1
    assert "Traceback" not in result.stderr


def test_typed_sentences_reach_the_journal(home: Path) -> None:
    planned(home)
    for text in ("start suction", "two passes, white", "pressure one thirty", "finish"):
        assert RUN.invoke(app, ["say", text]).exit_code == 0
    with Journal.open(home / "journal.sqlite", child="Juniper", read_only=True) as journal:
        (procedure,) = journal.procedures()
        assert journal.verify().broken is None
    assert procedure.slots == {"passes": 2, "colour": "white", "pressure_mmhg": 130}
    shown = RUN.invoke(app, ["today"]).stdout
    assert "two passes" in shown


def test_a_plan_is_made_once(home: Path) -> None:
    assert RUN.invoke(app, ["plan", "new", "Robin"]).exit_code == 0
    assert (home / "plan.toml").stat().st_mode & 0o077 == 0
    again = RUN.invoke(app, ["plan", "new", "Robin"])
    assert isinstance(again.exception, VoicelogError)
    assert "already a plan" in str(again.exception)


def test_no_plan_names_the_fix() -> None:
    result = RUN.invoke(app, ["today"])
    assert isinstance(result.exception, VoicelogError)
    assert "voicelog plan new" in str(result.exception)


def test_the_demo_runs_on_real_audio() -> None:
    result = RUN.invoke(app, ["demo", "--fast"])
    assert result.exit_code == 0, result.exception
    assert "Pressure 130 is above the plan's 100." in result.stdout
    assert "The journal is whole" in result.stdout


def test_every_command_of_the_readme_exists() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"^(?:\S*/)?voicelog ([a-z]+)", readme, re.MULTILINE))
    known = {command.callback.__name__ for command in app.registered_commands}  # type: ignore[union-attr]
    assert named - known == {"plan"}
    assert known <= named
    for command in sorted(known):
        assert RUN.invoke(app, [command, "--help"]).exit_code == 0
