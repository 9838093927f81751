"""A bedroom for each test."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.runner.bedroom import Bedroom, bedroom
from voicelog.grammar import Grammar


@pytest.fixture
def room(tmp_path: Path, english: Grammar) -> Iterator[Bedroom]:
    with bedroom(tmp_path / "journal.sqlite", english) as made:
        yield made
