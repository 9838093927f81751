"""What tests share: the grammar, and the engine, each made once."""

import builtins
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from voicelog.grammar import Grammar, load
from voicelog.recognition.moonshine import MoonshineEngine
from voicelog.recognition.prepare import prepare, shipped_folder
from voicelog.settings import Settings

# Machines differ and are shared: speed belongs into bench/, not into tests.
settings.register_profile("voicelog", deadline=None)
settings.load_profile("voicelog")


@pytest.fixture(scope="session")
def english() -> Grammar:
    return load("en", names=("Rosa", "Tom"))


@pytest.fixture(scope="session")
def model_folder() -> Path:
    return prepare(shipped_folder(), Settings().cache)


@pytest.fixture(scope="session")
def engine(english: Grammar, model_folder: Path) -> MoonshineEngine:
    return MoonshineEngine(english, model_folder)


@pytest.fixture
def no_library(monkeypatch: pytest.MonkeyPatch) -> None:
    """Importing sounddevice fails as it does on Linux without libportaudio2."""
    real = builtins.__import__

    def load(name: str, *rest: Any) -> Any:
        if name == "sounddevice":
            raise OSError("PortAudio library not found")
        return real(name, *rest)

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(builtins, "__import__", load)
