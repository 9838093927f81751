"""What tests share: the grammar, and the engine, each made once."""

from pathlib import Path

import pytest

from voicelog.grammar import Grammar, load
from voicelog.recognition.moonshine import MoonshineEngine
from voicelog.recognition.prepare import prepare, shipped_folder
from voicelog.settings import Settings


@pytest.fixture(scope="session")
def english() -> Grammar:
    return load("en", names=("Rosa", "Tom"))


@pytest.fixture(scope="session")
def model_folder() -> Path:
    return prepare(shipped_folder(), Settings().cache)


@pytest.fixture(scope="session")
def engine(english: Grammar, model_folder: Path) -> MoonshineEngine:
    return MoonshineEngine(english, model_folder)
