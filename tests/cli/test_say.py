"""Typed sentences: what they mean, and that they reach the log."""

import json
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.cli.conftest import Run
from tests.cli.test_hear import KEYS
from voicelog.cli import common
from voicelog.grammar import Grammar, Live, Parse
from voicelog.journal.store import Journal


def test_what_a_sentence_means_is_printed(run: Run) -> None:
    ran = run("say", "--dry-run", "two passes, white, thick, 3 drops")
    assert ran.code == 0
    assert "passes 2, colour white, thickness thick, saline_drops 3" in ran.out


def test_the_json_has_exactly_these_keys(run: Run) -> None:
    ran = run("say", "--json", "--dry-run", "two passes, white, thick, 3 drops")
    line = json.loads(ran.out)
    assert list(line) == KEYS
    assert line["outcome"] == "understood"
    assert line["slots"] == {
        "passes": 2,
        "colour": "white",
        "thickness": "thick",
        "saline_drops": 3,
    }
    assert line["audio_ms"] == 0
    assert (line["file"], line["start_ms"]) == ("", 0)


def test_what_could_be_two_things_is_offered(run: Run) -> None:
    line = json.loads(run("say", "--json", "--dry-run", "white and yellow").out)
    assert line["outcome"] == "ask"
    assert {"colour": "white"} in line["alternatives"]
    assert {"colour": "yellow"} in line["alternatives"]


def test_nonsense_is_not_understood(run: Run) -> None:
    line = json.loads(run("say", "--json", "--dry-run", "the moon is full").out)
    assert (line["outcome"], line["slots"]) == ("not_understood", {})


def test_between_procedures_only_the_wake_phrase_counts(run: Run) -> None:
    said = ("say", "--json", "--dry-run", "--state", "idle")
    assert json.loads(run(*said, "two passes").out)["outcome"] == "not_understood"
    assert json.loads(run(*said, "bedside log two passes").out)["slots"] == {"passes": 2}


def test_a_dry_run_stores_nothing_and_needs_no_plan(run: Run, home: Path) -> None:
    run("say", "--dry-run", "two passes")
    assert not home.exists()


def test_sentences_reach_the_log_one_command_after_another(run: Run, planned: Path) -> None:
    for text in ("start suction", "two passes, white", "pressure one thirty"):
        assert run("say", text).code == 0
    ended = run("say", "finish")
    with Journal.open(planned / "journal.sqlite", child="Juniper", read_only=True) as journal:
        kinds = [row.entry.kind for row in journal.rows()]
        (procedure,) = journal.procedures()
        assert journal.verify().ok
    assert kinds[:3] == ["open", "values", "values"]
    assert procedure.slots == {"passes": 2, "colour": "white", "pressure_mmhg": 130}
    assert "How thick" in ended.out or "Thin, normal, or thick?" in ended.out


def test_the_plans_limit_is_told(run: Run, planned: Path) -> None:
    assert "above the plan's 100" in run("say", "pressure one thirty").out


def test_replies_do_not_mix_with_the_json(run: Run, planned: Path) -> None:
    ran = run("say", "--json", "two passes")
    assert list(json.loads(ran.out)) == KEYS
    assert "Saved" in ran.err


def test_a_caregivers_name_is_known(run: Run, planned: Path) -> None:
    assert "Tom now. Saved." in run("say", "this is dad").out
    with Journal.open(planned / "journal.sqlite", child="Juniper", read_only=True) as journal:
        assert [row.entry.slots for row in journal.rows()] == [{"caregiver": "Tom"}]


def test_brackets_and_colons_are_words(run: Run, planned: Path) -> None:
    assert "[/]" in run("say", "note [/] :smile:").out


def test_making_the_parser_is_not_the_sentences_time(
    run: Run, monkeypatch: pytest.MonkeyPatch, english: Grammar
) -> None:
    order: list[str] = []

    class Watched:
        @property
        def parser(self) -> None:
            order.append("parser")

        def parse(self, text: str, state: Live) -> Parse:
            order.append("parse")
            return english.parse(text, state)

    def clock() -> float:
        order.append("clock")
        return 0.0

    monkeypatch.setattr(common, "grammar", lambda plan: Watched())
    monkeypatch.setattr("voicelog.cli.say.time", SimpleNamespace(perf_counter=clock))
    assert run("say", "--json", "--dry-run", "two passes").code == 0
    assert order == ["parser", "clock", "parse", "clock"]
