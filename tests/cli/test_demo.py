"""The demo: real recordings through the real recogniser into a real journal."""

import io
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.cli.conftest import Run, forget
from voicelog import data
from voicelog.cli import demo
from voicelog.cli.teller import Teller
from voicelog.entries import Procedure, Row, Slots
from voicelog.journal.chain import Verdict
from voicelog.journal.store import Journal

SAID: dict[str, set[object]] = {
    "passes": {2},
    "colour": {"yellow", "white", "clear"},
    "thickness": {"thick", "thin"},
    "amount": {"small"},
    "saline_drops": {0, 3},
    "pressure_mmhg": {130},
    "spo2": {91, 94},
    "temperature_c": {38.2},
    "heart_rate": {120},
    "caregiver": {"Tom"},
    "action": {"tie_change"},
}
"""Every value in ``demo_audio/script.yaml``; any other one in the journal was misheard."""


@dataclass(frozen=True)
class Evening:
    """What the demo stored and printed."""

    rows: list[Row]
    procedures: tuple[Procedure, ...]
    verdict: Verdict
    printed: list[str]

    @property
    def stored(self) -> list[Slots]:
        return [row.entry.slots for row in self.rows]


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> Evening:
    path = tmp_path_factory.mktemp("evening") / "journal.sqlite"
    forget()
    with redirect_stdout(io.StringIO()) as printed:
        demo.play_evening(path, Teller(as_json=False))
    with Journal.open(path, child="Juniper", read_only=True) as journal:
        rows, procedures = list(journal.rows()), journal.procedures()
        return Evening(rows, procedures, journal.verify(), printed.getvalue().splitlines())


def test_nothing_is_stored_that_was_not_said(evening: Evening) -> None:
    for slots in evening.stored:
        for slot, value in slots.items():
            assert slot in {"pass_seconds", *SAID}
            assert slot == "pass_seconds" or value in SAID[slot]


def test_what_was_said_is_stored(evening: Evening) -> None:
    """What is heard in doubt is asked about, and nobody answers a recording: that may lack."""
    opened = next(row for row in evening.rows if row.entry.kind == "open")
    assert opened.utc.replace(second=0, microsecond=0) == datetime(2026, 3, 8, 1, 40, tzinfo=UTC)
    for slots in (
        {"pressure_mmhg": 130},
        {"spo2": 94},
        {"spo2": 91},
        {"temperature_c": 38.2, "heart_rate": 120},
        {"caregiver": "Tom"},
    ):
        assert slots in evening.stored


def test_both_passes_are_timed(evening: Evening) -> None:
    timed = [float(slots["pass_seconds"]) for slots in evening.stored if "pass_seconds" in slots]
    assert len(timed) == 2
    assert all(5 < seconds < 10 for seconds in timed)


def test_the_procedures_add_up(evening: Evening) -> None:
    first, second = evening.procedures
    assert first.complete
    assert first.slots["colour"] == "white", "it was yellow before it was corrected"
    assert first.slots["pressure_mmhg"] == 130
    assert (first.slots["thickness"], first.slots["saline_drops"]) == ("thick", 3)
    assert second.caregiver == "Tom"
    must = {"passes": 2, "colour": "clear", "thickness": "thin", "amount": "small"}
    assert must.items() <= second.slots.items()


def test_the_journal_is_whole(evening: Evening) -> None:
    assert evening.verdict.ok
    assert f"The journal is whole: {len(evening.rows)} rows." in evening.printed


def test_limits_are_told_with_whose_they_are(evening: Evening) -> None:
    assert "  > Pressure 130 is above the plan's 100." in evening.printed
    assert "  > Temperature 38.2 is above the plan's 38." in evening.printed
    assert "  > Sats 91 are below the plan's 92." in evening.printed


def test_nothing_is_called_saved_that_is_not(evening: Evening) -> None:
    """There are at least as many rows as times that something is said to be saved."""
    said = sum(line.startswith("  > ") and "Saved" in line for line in evening.printed)
    assert 8 <= said <= len(evening.rows)


def test_the_child_is_said_to_be_invented(evening: Evening) -> None:
    assert any("Juniper is an invented child" in line for line in evening.printed)


@pytest.mark.usefixtures("quick")
def test_the_replies_are_written_as_sound(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(demo, "RECORDINGS", ("late_call",))
    ran = run("demo", "--out", "replies")
    assert ran.code == 0
    names = sorted(path.name for path in Path("replies").iterdir())
    assert "001-sats-ninety-one-saved.wav" in names
    assert "The spoken replies are in replies/." in ran.out


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("spoil", ["voice", "folder"])
def test_a_demo_without_its_voice_says_so(
    run: Run, monkeypatch: pytest.MonkeyPatch, spoil: str, tmp_path: Path
) -> None:
    monkeypatch.setattr(demo, "RECORDINGS", ("late_call",))
    (tmp_path / "file").touch()
    if spoil == "voice":
        monkeypatch.setenv("VOICELOG_VOICE", "no-such-voice")
    ran = run("demo", "--out", "file/replies" if spoil == "folder" else "replies")
    assert ran.code == 1
    assert "Sats ninety one. Saved." in ran.out
    (line,) = ran.err.splitlines()
    assert ("no-such-voice" if spoil == "voice" else "cannot be written") in line


def test_the_demo_leaves_the_users_own_log_alone(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo, "RECORDINGS", ())
    assert run("demo", "--fast").code == 0
    assert not home.exists()


def test_every_recording_is_in_the_script() -> None:
    folder = data.folder("demo_audio")
    assert {path.stem for path in folder.glob("*.flac")} == set(demo.RECORDINGS)
