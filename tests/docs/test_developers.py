"""The guide for contributors: what it names is there, and its recipes work without code."""

import importlib.util
import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from tests.cli.conftest import Run, forget
from tests.docs.guides import ROOT, commands, names, read
from voicelog import data
from voicelog.cli import common
from voicelog.grammar import load
from voicelog.journal.store import Journal

GUIDE = "DEVELOPERS.md"
ROOMS = sorted(
    path.name for path in (ROOT / "voicelog").iterdir() if (path / "__init__.py").is_file()
)


def test_it_shows_no_command_that_nobody_runs() -> None:
    """Its commands stand in the text, and are looked at below."""
    assert commands(GUIDE) == []


def places() -> list[tuple[str, str]]:
    """Return each name that looks like a place, with the room its line is about."""
    found, room = [], ""
    for line in read(GUIDE).splitlines():
        if begun := re.match(r"- `(\w+)/`", line):
            room = begun.group(1)
        elif inside := re.search(r"`(?:voicelog/)?([\w/]+)/`", line):
            room = inside.group(1)
        elif not line.startswith("  "):
            room = ""
        found += [
            (name, room)
            for name in names(line)
            if re.fullmatch(r"[\w<>*./-]+(/|\.(py|yaml|md|sh|toml))", name)
        ]
    return found


def test_there_are_places_to_look_at() -> None:
    assert len(places()) > 20


@pytest.mark.parametrize(("name", "room"), places())
def test_each_place_it_names_is_there(name: str, room: str) -> None:
    wanted = re.sub(r"<\w+>", "*", name).rstrip("/")
    wanted = f"*{wanted}" if wanted.startswith(".test") else wanted
    beside = [ROOT, ROOT / "voicelog", ROOT / "grammars" / "en"]
    beside += [ROOT / "voicelog" / room] if room else []
    assert any(list(folder.glob(wanted)) for folder in beside), name


@pytest.mark.parametrize("room", ROOMS)
def test_no_room_is_left_out(room: str) -> None:
    assert re.search(rf"\b{room}/", read(GUIDE))


@pytest.mark.parametrize("module", sorted(set(re.findall(r"python -m ([\w.]+)", read(GUIDE)))))
def test_each_module_it_runs_is_there(module: str) -> None:
    assert importlib.util.find_spec(module) is not None


def test_the_benchs_help() -> None:
    assert "`python -m bench.recognition --help`" in read(GUIDE)
    done = subprocess.run(
        [sys.executable, "-m", "bench.recognition", "--help"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    assert "usage" in done.stdout.lower()


def test_the_continuous_check_runs_what_is_said() -> None:
    script = read(".ci/run")
    for tool in ("ruff", "mypy", "lint-imports", "pytest"):
        assert f"`{tool}`" in read(GUIDE)
        assert tool in script
    assert "voicelog" in script
    assert "demo" in script


@pytest.fixture
def own(planned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the grammars that a contributor may change."""
    shutil.copytree(data.folder("grammars"), tmp_path / "grammars")
    monkeypatch.setenv("VOICELOG_GRAMMARS", str(tmp_path / "grammars"))
    forget()
    return tmp_path / "grammars"


def add_line(path: Path, after: str, line: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(after) == 1
    path.write_text(text.replace(after, f"{after}\n{line}"), encoding="utf-8")


def meaning(run: Run, text: str) -> dict[str, object]:
    ran = run("say", "--json", "--dry-run", text)
    assert ran.code == 0, ran.err
    found: dict[str, object] = json.loads(ran.out)
    return found


def test_a_new_word_is_a_line(run: Run, own: Path) -> None:
    assert "**a word**: a line in `grammars/en/<slot>.yaml`" in read(GUIDE)
    assert meaning(run, "colour buttercup")["outcome"] != "understood"
    add_line(own / "en" / "colour.yaml", "phrases:", "  - {say: [colour buttercup], is: yellow}")
    assert meaning(run, "colour buttercup")["slots"] == {"colour": "yellow"}
    assert meaning(run, "two passes, colour buttercup")["slots"] == {
        "passes": 2,
        "colour": "yellow",
    }


CUFF = """
slot: cuff_ml
type: decimal
phrases:
  - say: ["cuff [volume] [<is>] {n} [<ml>]"]
    number: {from: 0, to: 15, decimals: 1}
"""
CUFF_TABLE = """
parse:
  - {text: "cuff five", slots: {cuff_ml: 5}}
  - {text: "cuff volume is four point five mils", slots: {cuff_ml: 4.5}}
refuse:
  - "cuff"
"""


def test_a_new_slot_is_a_file_with_its_table(run: Run, own: Path, planned: Path) -> None:
    """It is understood, stored and read back, and can be corrected, without a line of code."""
    assert "**a slot**: a new YAML file with its table" in read(GUIDE)
    assert "`[<is>]`" in read(GUIDE)
    (own / "en" / "cuff_ml.yaml").write_text(CUFF)
    (own / "en" / "cuff_ml.test.yaml").write_text(CUFF_TABLE)
    table = yaml.safe_load(CUFF_TABLE)
    for row in table["parse"]:
        assert meaning(run, row["text"])["slots"] == row["slots"]
    for text in table["refuse"]:
        assert meaning(run, text)["outcome"] != "understood"
    assert "uff" not in run("say", "start suction").out
    said = run("say", "white, cuff four point five")
    assert said.code == 0
    assert "four point five. Saved." in said.out
    run("say", "change cuff to five")
    with Journal.open(planned / "journal.sqlite", child="Juniper", read_only=True) as journal:
        (procedure,) = journal.procedures()
    assert procedure.slots == {"colour": "white", "cuff_ml": 5}


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[Path]:
    """A copy of the published limits that a contributor may change."""
    shutil.copytree(data.folder("shared"), tmp_path / "shared")
    data.use("shared", tmp_path / "shared")
    yield tmp_path / "shared"
    data.use("shared", None)


@pytest.mark.usefixtures("planned")
def test_a_range_is_a_row_and_a_choice_of_it(run: Run, own: Path, shared: Path) -> None:
    """The number is invented: no source is behind it."""
    assert "range goes to `shared/limits.yaml`" in read(GUIDE)
    (own / "en" / "cuff_ml.yaml").write_text(CUFF)
    limits = yaml.safe_load((shared / "limits.yaml").read_text(encoding="utf-8"))
    ages = ["neonate", "infant", "child", "adolescent"]
    row = {"id": "cuff", "slot": "cuff_ml", "high": 8, "unit": "ml", "ages": ages}
    limits["rows"].append({**row, "population": "any", "source": "practice", "mark": "P"})
    choice = {"slot": "cuff_ml", "side": "high", "row": dict.fromkeys(ages, "cuff")}
    limits["defaults"].append({**choice, "reason": "invented"})
    (shared / "limits.yaml").write_text(yaml.safe_dump(limits), encoding="utf-8")
    assert "above" not in run("say", "cuff eight").out
    assert "Cuff ml 9 is above 8" in run("say", "cuff nine").out
    (shown,) = [line for line in run("plan", "show").out.splitlines() if "cuff" in line]
    assert "published: " in shown


def test_a_new_language_is_a_folder(run: Run, own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """English under another name, from nothing but the files that the guide lists."""
    (recipe,) = re.findall(r"\*\*a language\*\*.*?(?=\n- )", read(GUIDE), re.DOTALL)
    listed = {name for name in names(recipe) if name.startswith("_")}
    there = {path.name for path in (own / "en").glob("_*.yaml") if ".test." not in path.name}
    assert listed == there
    (own / "xx").mkdir()
    for path in (own / "en").glob("*.yaml"):
        if path.name in listed or not path.name.startswith("_"):
            text = path.read_text(encoding="utf-8")
            new = re.sub(r"^language: en$", "language: xx", text, flags=re.MULTILINE)
            (own / "xx" / path.name).write_text(new, encoding="utf-8")
    assert load("xx", root=own).version.startswith("xx")
    monkeypatch.setenv("VOICELOG_LANGUAGE", "xx")
    forget()
    assert common.language() == "xx"
    assert "Two passes. Saved." in run("say", "two passes").out
