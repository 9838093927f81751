"""The runner counts what an engine with known faults does, no more and no less."""

import json

import numpy as np
import pytest
import soundfile

from bench import recognition
from bench.material import Clip
from bench.score import Answer
from bench.show import plot, table
from bench.sound import RATE
from bench.summary import summarise

SAID = [
    ("two passes", {"passes": 2}, "plain", True),
    ("two passes again", {"passes": 2}, "plain", False),
    ("three passes", {"passes": 3}, "everyday", True),
    ("heart rate one eighteen", {"heart_rate": 118}, "everyday", True),
]


class Parrot:
    """Hears the loudness of a clip and looks up its fixed answer."""

    answers = (
        Answer("understood", {"passes": 2}, ms=100),
        Answer("ask", {}, ({"passes": 2}, {"passes": 3}), ms=200),
        Answer("not_understood", ms=300),
        Answer("understood", {"heart_rate": 180}, ms=400),
        Answer("understood", {"colour": "red"}, text="red", ms=50),
    )

    def hear(self, audio, live):
        loudest = float(np.abs(audio).max())
        return self.answers[round(loudest * 10) - 1] if loudest > 0.05 else Answer("not_understood")


@pytest.fixture
def run(tmp_path, monkeypatch):
    clips = []
    for n, (text, truth, group, natural) in enumerate(SAID, 1):
        path = tmp_path / f"{n}.flac"
        soundfile.write(path, np.full(RATE, n / 10, np.float32), RATE)
        info = {"natural": natural, "voice": "v", "speed": 1.0}
        clips.append(Clip(path.name, text, (truth,), "entry", group, "open", (path,), info))
    path = tmp_path / "talk.flac"
    soundfile.write(path, np.full(RATE * 36, 0.5, np.float32), RATE)
    talk = Clip("talk.flac", "", (), "nothing", "meeting", "open", (path,), {})
    monkeypatch.setitem(recognition.MAKERS, "parrot", Parrot)

    class Piece:
        cut, start_ms, audio = False, 0, np.full(RATE, 0.5, np.float32)

    monkeypatch.setattr(recognition, "segments", lambda audio: [Piece, Piece])
    job = recognition.Job("parrot", ("clean",), tuple(clips), (), (talk,), ())
    return recognition.measure(job)


def test_rows_count_each_verdict_once(run):
    rows = {r["group"]: r for r in summarise(run)["rows"]}
    entries = rows["entries"]
    assert entries["n"] == 4
    assert [entries[k] for k in ("right", "asked", "not_understood", "wrong")] == [0.25] * 4
    assert entries["wrong_value"] == 0.25
    assert entries["offered"] == 0.25
    assert entries["ms_median"] == 250
    assert entries["real_time_factor"] == 0.25
    assert rows["plain"]["right"] == 0.5
    assert rows["entries, neural voices"]["n"] == 3
    assert rows["entries, older voices"]["asked"] == 1


def test_slots_and_confusions_name_the_number(run):
    summary = summarise(run)
    slots = {s["slot"]: s for s in summary["slots"]}
    assert (slots["heart_rate"]["said"], slots["heart_rate"]["wrong"]) == (1, 1)
    assert (slots["passes"]["said"], slots["passes"]["wrong"]) == (3, 0)
    assert summary["number_confusions"] == [
        {"slot": "heart_rate", "said": 118, "stored": 180, "condition": "clean", "times": 1}
    ]


def test_false_entries_are_per_hour_and_per_state(run):
    rows = {(r["state"], r["group"]): r for r in summarise(run)["overheard"]}
    assert set(rows) == {(s, g) for s in ("idle", "open") for g in ("meeting", "all")}
    row = rows["idle", "all"]
    assert row["utterances"] == 2
    # two in 36 seconds
    assert row["false_entries"]["per_hour"] == 200
    assert row["questions"]["events"] == 0


def test_summary_is_plain_json_and_can_be_shown(run, tmp_path, capsys):
    summary = {"split": "dev", "limit": None, "engines": [summarise(run)]}
    assert json.loads(json.dumps(summary)) == summary
    table(summary)
    assert "118 stored as 180" in capsys.readouterr().out
    plot(summary, tmp_path / "plot.png")
    assert (tmp_path / "plot.png").read_bytes().startswith(b"\x89PNG")
