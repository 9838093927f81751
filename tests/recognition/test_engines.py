"""Engines are found by their name, and only the one asked for is loaded."""

import subprocess
import sys
from pathlib import Path
from typing import Any, get_args

import pytest

from voicelog.grammar import Grammar, load
from voicelog.recognition import moonshine, prepare, vosk
from voicelog.recognition.engines import EngineName, open_engine
from voicelog.recognition.prepare import ModelMissingError
from voicelog.recognition.vosk_folder import VoskModelMissingError

CLASSES: dict[str, type] = {"moonshine": moonshine.MoonshineEngine, "vosk": vosk.VoskEngine}


def quiet(line: str) -> None:
    raise AssertionError(f"nothing takes long here: {line}")


def test_every_name_has_its_engine_and_says_it() -> None:
    assert set(get_args(EngineName)) == set(CLASSES)
    assert all(engine.name == name for name, engine in CLASSES.items())  # type: ignore[attr-defined]


def test_the_default_engine_gets_the_prepared_model(
    english: Grammar, model_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[tuple[Any, ...]] = []
    monkeypatch.setattr(moonshine, "MoonshineEngine", lambda *given: made.append(given))
    open_engine("moonshine", english, model=None, cache=model_folder.parent, progress=quiet)
    assert made == [(english, model_folder)]


def test_the_other_engine_takes_the_languages_package(tmp_path: Path) -> None:
    korean = load("ko")
    engine = open_engine("vosk", korean, model=None, cache=tmp_path, progress=quiet)
    assert isinstance(engine, vosk.VoskEngine)
    assert list(tmp_path.iterdir()) == []


def test_a_model_that_is_not_there_is_told_by_each(
    english: Grammar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(VoskModelMissingError, match="There is no 'en' Vosk model"):
        open_engine("vosk", english, model=None, cache=tmp_path, progress=quiet)
    monkeypatch.setattr(prepare.util, "find_spec", lambda name: None)
    with pytest.raises(ModelMissingError):
        open_engine("moonshine", english, model=None, cache=tmp_path, progress=quiet)


def test_naming_the_engines_loads_none() -> None:
    """Commands that recognise nothing must start at once."""
    code = (
        "import sys, voicelog.recognition.engines\n"
        "print([m for m in ('vosk', 'onnxruntime', 'llguidance', 'onnx') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout == "[]\n"
