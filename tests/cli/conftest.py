"""A home of its own for every command that a test runs."""

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from voicelog import data
from voicelog.cli import common
from voicelog.cli.app import main
from voicelog.cli.cautions import MARK
from voicelog.grammar import Grammar
from voicelog.recognition.moonshine import MoonshineEngine
from voicelog.voice import speakable


@dataclass(frozen=True)
class Ran:
    """How a command ended and what it printed."""

    code: int
    out: str
    err: str


Run = Callable[..., Ran]


def forget() -> None:
    """Forget what a program reads only once."""
    common.settings.cache_clear()
    speakable.load_words.cache_clear()
    speakable._reader.cache_clear()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder of plan and journal, not made yet."""
    for name in ("PLAN", "GRAMMARS", "ENGINE", "MODEL", "LANGUAGE", "VOICE", "DEBUG"):
        monkeypatch.delenv(f"VOICELOG_{name}", raising=False)
    monkeypatch.setenv("VOICELOG_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    forget()
    yield tmp_path / "home"
    data.use("grammars", None)
    forget()


@pytest.fixture
def planned(home: Path) -> Path:
    """The same with the care plan of an invented child in it, the cautions seen."""
    home.mkdir(mode=0o700)
    (home / MARK).touch()
    shutil.copy(data.folder("demo_audio") / "plan.toml", home / "plan.toml")
    return home


@pytest.fixture
def run(home: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in this process, as from a shell."""

    def ran(*arguments: str) -> Ran:
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main(arguments)
        printed = capsys.readouterr()
        return Ran(int(ended.value.code or 0), printed.out, printed.err)

    return ran


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch, engine: MoonshineEngine) -> None:
    """Take the recogniser that is loaded already; its model is the same."""

    def ready(rules: Grammar, name: str | None = None) -> MoonshineEngine:
        return engine

    monkeypatch.setattr(common, "engine", ready)
