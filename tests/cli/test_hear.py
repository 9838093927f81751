"""Recordings: one line an utterance, one sentence a bad file, and the rest is heard."""

import io
import json
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.cli.conftest import Run
from voicelog import data
from voicelog.audio.endpoint import Segment
from voicelog.audio.files import read
from voicelog.audio.sound import RATE
from voicelog.cli.app import main
from voicelog.journal.store import Journal
from voicelog.recognition.moonshine import MoonshineEngine
from voicelog.runner import recording

KEYS = [
    "file",
    "start_ms",
    "outcome",
    "slots",
    "text",
    "confidence",
    "alternatives",
    "audio_ms",
    "decode_ms",
]
LATE = data.folder("demo_audio") / "late_call.flac"


@pytest.fixture
def silent(tmp_path: Path) -> str:
    soundfile.write(tmp_path / "silent.wav", np.zeros(RATE, np.float32), RATE)
    return "silent.wav"


@pytest.fixture
def sats(tmp_path: Path) -> str:
    """Only the second utterance of a demo recording: the wake phrase and "sats ninety one"."""
    part = recording.segments(read(LATE))[1]
    soundfile.write(tmp_path / "sats.wav", part.audio, RATE)
    return "sats.wav"


def test_one_object_an_utterance(run: Run, silent: str) -> None:
    """Through everything, the loading of the model included."""
    ran = run("hear", "--json", "--dry-run", silent, str(LATE))
    assert ran.code == 0
    lines = [json.loads(line) for line in ran.out.splitlines()]
    assert [list(line) for line in lines] == [KEYS] * 4
    assert [line["file"] for line in lines] == [silent, *[str(LATE)] * 3]
    assert lines[0]["outcome"] == "not_understood"
    assert lines[1]["outcome"] == "not_understood"
    assert lines[2]["slots"] == {"spo2": 91}
    assert lines[3]["slots"] == {"action": "summary"}
    starts = [line["start_ms"] for line in lines[1:]]
    assert starts == sorted(starts)
    for line in lines[1:]:
        assert 500 < line["audio_ms"] < 5000
        assert line["decode_ms"] > 0
        assert 0 <= line["confidence"] <= 1


@pytest.mark.usefixtures("quick")
def test_one_readable_line_an_utterance(run: Run, sats: str) -> None:
    assert "spo2 91" in run("hear", "--dry-run", sats).out


@pytest.mark.usefixtures("quick")
def test_bad_files_are_told_and_the_others_heard(run: Run, sats: str, tmp_path: Path) -> None:
    (tmp_path / "bad.wav").write_text("this is no sound")
    ran = run("hear", "--json", "--dry-run", "bad.wav", sats, "none.wav", sats)
    assert ran.code == 1
    assert [json.loads(line)["slots"] for line in ran.out.splitlines()] == [{"spo2": 91}] * 2
    assert len(ran.err.splitlines()) == 2


@pytest.mark.usefixtures("quick")
def test_bad_files_do_not_keep_the_others_out_of_the_log(
    run: Run, sats: str, planned: Path, tmp_path: Path
) -> None:
    (tmp_path / "bad.wav").write_text("this is no sound")
    ran = run("hear", "bad.wav", sats, "none.wav")
    assert ran.code == 1
    assert "Sats ninety one. Saved." in ran.out
    assert len(ran.err.splitlines()) == 2
    with Journal.open(planned / "journal.sqlite", child="Juniper", read_only=True) as journal:
        assert [row.entry.slots for row in journal.rows() if row.entry.slots] == [{"spo2": 91}]


@pytest.mark.usefixtures("quick", "planned")
def test_into_the_log_the_json_has_the_same_keys(run: Run, sats: str, silent: str) -> None:
    ran = run("hear", "--json", silent, sats)
    lines = [json.loads(line) for line in ran.out.splitlines()]
    assert [list(line) for line in lines] == [KEYS] * 2
    assert [line["outcome"] for line in lines] == ["not_understood", "understood"]
    assert "Saved" in ran.err


@pytest.mark.parametrize("options", [("--json", "--dry-run"), ("--json",)], ids=["dry", "log"])
def test_speech_that_was_cut_is_never_an_entry(
    run: Run,
    planned: Path,
    sats: str,
    engine: MoonshineEngine,
    monkeypatch: pytest.MonkeyPatch,
    options: tuple[str, ...],
) -> None:
    audio = read(planned.parent / sats)
    assert engine.decode(audio, "idle").outcome == "understood", "whole, it would be an entry"
    monkeypatch.setattr("voicelog.cli.common.engine", lambda rules, name: engine)
    monkeypatch.setattr(recording, "segments", lambda _: [Segment(0, 900, audio, cut=True)])
    line = json.loads(run("hear", *options, sats).out)
    assert (line["outcome"], line["slots"], line["alternatives"]) == ("not_understood", {}, [])
    if "--dry-run" not in options:
        with Journal.open(planned / "journal.sqlite", child="Juniper", read_only=True) as journal:
            assert list(journal.rows()) == []


@pytest.mark.usefixtures("planned", "quick")
@pytest.mark.parametrize("options", [("--dry-run",), ()], ids=["dry", "into the log"])
def test_a_recording_without_speech_is_told_with_the_fix(
    run: Run, silent: str, options: tuple[str, ...]
) -> None:
    ran = run("hear", *options, silent)
    assert ran.code == 1
    assert ran.out == ""
    (line,) = ran.err.splitlines()
    assert line.startswith("Nothing was said in silent.wav: record closer")
    assert "voicelog check" in line
    ran = run("hear", "--json", *options, silent)
    assert ran.code == 1
    assert json.loads(ran.out)["outcome"] == "not_understood"


@pytest.mark.usefixtures("planned", "quick")
@pytest.mark.parametrize("options", [("--dry-run",), ()], ids=["dry", "into the log"])
def test_one_recording_with_speech_is_enough(
    run: Run, silent: str, sats: str, options: tuple[str, ...]
) -> None:
    ran = run("hear", *options, silent, sats)
    assert ran.code == 0
    assert "Nothing was said in silent.wav" in ran.err


class Watched(io.StringIO):
    """Counts the lines that were there at each flush."""

    def __init__(self) -> None:
        super().__init__()
        self.flushed: list[int] = []

    def flush(self) -> None:
        self.flushed.append(self.getvalue().count("\n"))


@pytest.mark.usefixtures("home", "quick")
@pytest.mark.parametrize("options", [("--json",), ()], ids=["json", "text"])
def test_each_line_is_there_at_once(
    monkeypatch: pytest.MonkeyPatch, sats: str, options: tuple[str, ...]
) -> None:
    watched = Watched()
    monkeypatch.setattr(sys, "stdout", watched)
    with pytest.raises(SystemExit):
        main(["hear", "--dry-run", *options, sats, sats])
    assert {1, 2} <= set(watched.flushed)
