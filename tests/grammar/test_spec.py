"""Grammar files that are missing or broken are refused with the file and the reason."""

import shutil
from pathlib import Path

import pytest

from voicelog import data
from voicelog.errors import VoicelogError
from voicelog.grammar import load
from voicelog.grammar.spec import GrammarBrokenError, GrammarMissingError, languages, load_spec


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data.folder("grammars") / "en", tmp_path / "en")
    return tmp_path


def test_an_unknown_language_names_those_there_are() -> None:
    with pytest.raises(GrammarMissingError, match="en"):
        load_spec("xx")
    assert "en" in languages()


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        ("slot: [", "colour.yaml"),
        ("slot: colour\ntype: choice\n", "no phrase"),
        ("slot: colour\ntype: choice\nphrases: [{say: ['{value} {n}']}]\n", "more than one value"),
        ("slot: x\ntype: integer\nphrases: [{say: ['{n}']}]\n", "no number range"),
        (
            "slot: x\ntype: integer\nphrases: [{say: ['{n}'], number: {from: 9, to: 2}}]\n",
            "starts at",
        ),
        ("slot: x\ntype: poem\nphrases: [{say: [a]}]\n", "type"),
        ("surprise: 1\n", "colour.yaml"),
    ],
)
def test_a_broken_file_is_named(folder: Path, content: str, reason: str) -> None:
    (folder / "en" / "colour.yaml").write_text(content, encoding="utf-8")
    with pytest.raises(GrammarBrokenError, match=reason):
        load("en", folder)


def test_a_missing_shared_file_is_named(folder: Path) -> None:
    (folder / "en" / "_numbers.yaml").unlink()
    with pytest.raises(VoicelogError, match=r"_numbers\.yaml"):
        load("en", folder)


def test_the_version_follows_the_files(folder: Path) -> None:
    before = load_spec("en", folder).version
    path = folder / "en" / "colour.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
    assert load_spec("en", folder).version != before


def test_a_new_slot_is_a_file_and_no_code(folder: Path) -> None:
    (folder / "en" / "cuff_ml.yaml").write_text(
        "slot: cuff_ml\ntype: decimal\nphrases:\n"
        "  - say: ['cuff [at] {n} [mils]']\n    number: {from: 0, to: 10, decimals: 1}\n",
        encoding="utf-8",
    )
    grammar = load("en", folder)
    assert grammar.parse("cuff at one point five").slots == {"cuff_ml": 1.5}
    assert "cuff_ml" in grammar.mask.slots(frozenset())
