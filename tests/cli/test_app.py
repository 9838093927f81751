"""The command as a whole: help, exit codes, one plain sentence for every failure."""

import subprocess
import sys

import pytest
import typer.main

from tests.cli.conftest import Run
from voicelog import __version__
from voicelog.cli import common
from voicelog.cli.app import app, main
from voicelog.errors import VoicelogError

GROUP = typer.main.get_command(app)


def every_command() -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = [()]
    for name, command in GROUP.commands.items():  # type: ignore[attr-defined]
        found.append((name,))
        found += [(name, inner) for inner in getattr(command, "commands", ())]
    return found


def test_the_version(run: Run) -> None:
    assert run("--version").out.strip() == __version__


@pytest.mark.parametrize("command", every_command(), ids=" ".join)
def test_help_is_plain(run: Run, command: tuple[str, ...]) -> None:
    shown = run(*command, "--help")
    assert shown.code == 0
    assert shown.err == ""
    assert shown.out.isascii()
    summary = shown.out.split("\n\n")[1].strip()
    assert summary.endswith(".")
    lines = shown.out.splitlines()[1:]
    assert not any(line.endswith("...") for line in lines), "a summary is too long for its line"


def test_help_carries_the_caution(run: Run) -> None:
    assert "not a medical device" in " ".join(run("--help").out.split())


def test_no_command_shows_the_help(run: Run) -> None:
    assert "Usage: voicelog" in run().out + run().err


@pytest.mark.parametrize(
    "arguments",
    [("nonsense",), ("hear",), ("today", "--days", "0"), ("say",), ("say", "x", "--state", "y")],
    ids=" ".join,
)
def test_a_wrong_use_is_told_without_a_traceback(run: Run, arguments: tuple[str, ...]) -> None:
    ran = run(*arguments)
    assert ran.code == 2
    assert "Traceback" not in ran.err
    assert ran.out == ""


def broken(*_: object) -> None:
    raise RuntimeError("the [cellar]\nis flooded.")


def test_the_unforeseen_is_one_sentence(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(common, "grammar", broken)
    ran = run("say", "--dry-run", "two passes")
    assert ran.code == 70
    assert ran.out == ""
    assert ran.err == (
        "Something went wrong inside voicelog: RuntimeError, the [cellar] is flooded. Nothing "
        "already logged is lost. Set VOICELOG_DEBUG=1 and try again to see more.\n"
    )


@pytest.mark.usefixtures("home")
def test_whoever_asks_sees_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(common, "grammar", broken)
    monkeypatch.setenv("VOICELOG_DEBUG", "1")
    with pytest.raises(RuntimeError, match="cellar"):
        main(["say", "--dry-run", "two passes"])


def test_what_is_printed_is_never_taken_for_markup(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise VoicelogError("Look at [red]cell[/red] :warning: [/]")

    monkeypatch.setattr(common, "grammar", refuse)
    assert run("say", "--dry-run", "x").err == "Look at [red]cell[/red] :warning: [/]\n"


def test_a_terminal_without_the_letters_still_works() -> None:
    """Quotes and Korean words do not fit into ASCII."""
    done = subprocess.run(
        [sys.executable, "-m", "voicelog", "say", "--dry-run", "two passes \N{HANGUL SYLLABLE GA}"],
        env={"PYTHONIOENCODING": "ascii", "PATH": "", "HOME": "/nonexistent"},
        capture_output=True,
        check=True,
        timeout=60,
    )
    assert done.stderr == b""
    assert b"passes 2" in done.stdout
    assert done.stdout.isascii()
