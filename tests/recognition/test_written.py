"""What was written once is read the next time, and never for another grammar."""

import json
import stat
from pathlib import Path

import pytest

from voicelog.grammar import Grammar, load
from voicelog.recognition.written import KeptWriter

NOTHING: frozenset[str] = frozenset()


def refused(part: str, expected: frozenset[str]) -> str:
    raise AssertionError(f"{part} was written again")


def test_it_writes_as_the_grammar_does_and_only_once(
    english: Grammar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = KeptWriter(english, tmp_path)
    asked = frozenset({"colour"})
    texts = (first.lark("colour", NOTHING), first.lark("colour", asked))
    assert texts == (english.mask.lark("colour", NOTHING), english.mask.lark("colour", asked))
    assert texts[0] != texts[1]
    first.save()
    assert stat.S_IMODE(first.path.stat().st_mode) == 0o600  # it may hold carers' names

    second = KeptWriter(english, tmp_path)
    monkeypatch.setattr(second.writer, "lark", refused)
    assert (second.lark("colour", NOTHING), second.lark("colour", asked)) == texts
    assert second.slots(NOTHING) == english.mask.slots(NOTHING)


def test_another_name_is_another_grammar(english: Grammar, tmp_path: Path) -> None:
    one = KeptWriter(english, tmp_path)
    other = KeptWriter(load("en", names=("Mirela",)), tmp_path)
    assert one.path != other.path
    for writer in (one, other):
        writer.lark("odour", NOTHING)
        writer.save()
    assert [path.name for path in tmp_path.iterdir()] == [other.path.name]


@pytest.mark.parametrize("content", ["", "[1, 2]", '{"colour": '])
def test_a_damaged_file_costs_only_time(english: Grammar, tmp_path: Path, content: str) -> None:
    writer = KeptWriter(english, tmp_path)
    writer.path.write_text(content, encoding="utf-8")
    again = KeptWriter(english, tmp_path)
    assert again.lark("odour", NOTHING) == english.mask.lark("odour", NOTHING)
    again.save()
    assert json.loads(again.path.read_text(encoding="utf-8")).keys() == {"odour"}


def test_a_folder_that_cannot_be_written_is_let_be(english: Grammar, tmp_path: Path) -> None:
    writer = KeptWriter(english, tmp_path / "missing")
    assert writer.lark("odour", NOTHING)
    writer.save()
    assert not writer.path.exists()
