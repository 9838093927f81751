"""What the log is not: said once, remembered, and never in the way of the output."""

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from voicelog import data
from voicelog.careplan import load_plan
from voicelog.cli import common, demo
from voicelog.cli.cautions import MARK, cautions, show_cautions_once

FIRST = "Before you rely on voicelog:"
SPOKEN = str(data.folder("demo_audio") / "late_call.flac")


@pytest.fixture
def fresh(planned: Path) -> Path:
    """A home in which nobody has seen the cautions."""
    (planned / MARK).unlink()
    return planned


def test_they_say_what_matters() -> None:
    text = " ".join(cautions())
    for part in ("not a medical device", "care team", "local rules", "emergency plan", "mishear"):
        assert part in text
    assert "your local emergency number" in text


def test_they_name_the_plans_emergency_number() -> None:
    plan = load_plan(data.folder("demo_audio") / "plan.toml")
    assert any("call 911." in line for line in cautions(plan))


@pytest.mark.usefixtures("fresh", "quick")
@pytest.mark.parametrize(
    "command", [("say", "two passes"), ("hear", SPOKEN), ("today",)], ids=lambda c: c[0]
)
def test_the_first_time_only(run: Run, fresh: Path, command: tuple[str, ...]) -> None:
    if command == ("today",):
        run("say", "two passes")
        (fresh / MARK).unlink()
    first, second = run(*command), run(*command)
    assert (first.code, second.code) == (0, 0)
    assert first.err.splitlines() == list(cautions(load_plan(fresh / "plan.toml")))
    assert second.err == ""
    assert FIRST not in first.out + second.out
    assert (fresh / MARK).stat().st_mode & 0o077 == 0


@pytest.mark.usefixtures("fresh", "quick")
@pytest.mark.parametrize("command", [("say", "--json", "two passes"), ("hear", "--json", SPOKEN)])
def test_json_stays_json(run: Run, command: tuple[str, ...]) -> None:
    ran = run(*command)
    assert FIRST in ran.err
    assert all(json.loads(line)["outcome"] for line in ran.out.splitlines())


@pytest.mark.usefixtures("fresh")
def test_listening_shows_them_where_people_look(run: Run) -> None:
    """The recording is not there, so that listening ends at once."""
    told: list[bool] = []
    for _ in range(2):
        ran = run("listen", "--silent", "--play", "missing.wav")
        assert ran.code == 1
        assert "There is no file" in ran.err
        told.append(FIRST in ran.out)
        assert "not a medical device" in ran.out
    assert told == [True, False]


@pytest.mark.usefixtures("quick")
def test_the_demo_shows_them_and_makes_no_home_to_remember_it(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo, "RECORDINGS", ())
    assert FIRST in run("demo", "--fast").out
    assert not home.exists()
    home.mkdir()
    assert FIRST in run("demo", "--fast").out
    assert FIRST not in run("demo", "--fast").out


@pytest.mark.usefixtures("fresh")
def test_a_dry_run_is_left_alone(run: Run, fresh: Path) -> None:
    assert run("say", "--dry-run", "two passes").err == ""
    assert not (fresh / MARK).exists()


@pytest.mark.usefixtures("fresh")
def test_what_cannot_be_remembered_is_shown_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "touch", refuse)
    assert [show_cautions_once(None, common.out) for _ in range(2)] == [True, True]
    assert capsys.readouterr().out.count(FIRST) == 2
