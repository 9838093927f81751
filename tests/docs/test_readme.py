"""The README's commands do what it says, its examples are understood, its files are there."""

import re
import shlex

import pytest

from tests.cli.conftest import Run
from tests.docs.guides import ROOT, commands, names, read
from voicelog import data
from voicelog.cli import demo
from voicelog.grammar import Grammar
from voicelog.settings import PREFIX, Settings

README = "README.md"

SHOWS: dict[str, str] = {
    ".venv/bin/voicelog demo": "The journal is whole",
    "voicelog plan new Robin": "Fill it in with your care team.",
    "voicelog plan check": "still missing: home.zone",
    "voicelog plan show": "published: ",
    "voicelog check": "ok       journal",
    "voicelog hear --json --dry-run FILE.wav": '"outcome": "understood"',
    'voicelog say --dry-run "two passes"': "passes 2",
    "voicelog today": "two passes",
    "voicelog normal": "Still learning what is usual",
    "voicelog model": "The English speech model was ready",
    "voicelog demo --fast": "The journal is whole",
}
"""What each command's output holds, in a home in which they are run from top to bottom."""

NOT_RUN: dict[str, str] = {
    "python3 -m venv .venv": "makes the environment; .ci/run does it",
    ".venv/bin/pip install .": "makes the environment; .ci/run does it",
    ".venv/bin/pip install '.[test]'": "makes the environment; .ci/run does it",
    ".venv/bin/python -m pytest": "is this very run",
    "voicelog listen": "needs a microphone; tests/cli and tests/runner listen to recordings",
}


def test_every_command_is_run_or_has_a_reason() -> None:
    shown = commands(README)
    assert set(shown) == SHOWS.keys() | NOT_RUN.keys()
    assert not SHOWS.keys() & NOT_RUN.keys()
    assert all(NOT_RUN.values())


@pytest.mark.usefixtures("quick")
def test_the_commands_from_top_to_bottom(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """With one recording of the demo's three: tests/cli/test_demo.py plays the whole evening."""
    monkeypatch.setattr(demo, "RECORDINGS", ("late_call",))
    recording = str(data.folder("demo_audio") / "late_call.flac")
    for command in commands(README):
        if command in NOT_RUN:
            if command == "voicelog listen":  # typed here, in place of what is spoken there
                assert run("say", "two passes").code == 0
            continue
        arguments = [recording if word == "FILE.wav" else word for word in shlex.split(command)]
        ran = run(*arguments[1:])
        assert ran.code == 0, (command, ran.err)
        assert SHOWS[command] in ran.out, command


def examples() -> list[str]:
    """Return the quoted sentences of the table of what can be said."""
    rows = [line for line in read(README).splitlines() if line.startswith("| ")]
    return [said for row in rows for said in re.findall(r'"([^"]+)"', row)]


def test_the_table_has_examples() -> None:
    assert len(examples()) > 15


@pytest.mark.parametrize("said", examples())
def test_each_example_is_understood(english: Grammar, said: str) -> None:
    found = english.parse(said, "open")
    assert found.outcome == "understood", found
    assert found.slots


@pytest.mark.parametrize("said", ["bedside log", "start suction"])
def test_what_it_waits_for_between_procedures(english: Grammar, said: str) -> None:
    assert f'"{said}"' in read(README)
    found = english.parse(said, "idle")
    assert found.outcome == "understood"


@pytest.mark.parametrize(
    "name", [name for name in names(read(README)) if re.fullmatch(r"[\w./-]+\.(md|py|toml)", name)]
)
def test_each_file_it_names_is_there(name: str) -> None:
    assert (ROOT / name).is_file()


@pytest.mark.parametrize("name", [name for name in names(read(README)) if PREFIX in name])
def test_each_setting_it_names_is_one(name: str) -> None:
    assert name.removeprefix(PREFIX).lower() in Settings.model_fields


def test_it_says_what_it_is_not() -> None:
    text = " ".join(read(README).split())
    for part in ("not a medical device", "care team and local rules first", "emergency plan"):
        assert part in text
