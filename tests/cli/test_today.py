"""Today's list: what was logged, in the order it happened, with the home's own midnight."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from voicelog.entries import Entry, Heard
from voicelog.journal.store import Journal


def add(home: Path, when: datetime, entry: Entry) -> None:
    with Journal.open(home / "journal.sqlite", child="Juniper") as journal:
        journal.append(entry, Heard(text="x"), "Rosa", when, "America/Chicago", "g1")


@pytest.fixture
def logged(planned: Path) -> Path:
    now = datetime.now(UTC)
    add(planned, now - timedelta(days=3), Entry(kind="note", text="three days ago"))
    add(planned, now, Entry(kind="values", slots={"spo2": 91}))
    add(planned, now, Entry(kind="event", slots={"action": "tie_change"}))
    return planned


def test_today_is_listed(run: Run, logged: Path) -> None:
    shown = run("today").out
    assert "Juniper" in shown
    assert "sats ninety one" in shown
    assert "tie change" in shown
    assert "Rosa" in shown
    assert "three days ago" not in shown


def test_more_days_are_listed_with_their_names(run: Run, logged: Path) -> None:
    shown = run("today", "--days", "5").out
    assert "three days ago" in shown
    then = datetime.now(UTC) - timedelta(days=3)
    assert any(f"{day:%a}" in shown for day in (then, then - timedelta(days=1)))


def test_an_empty_day(run: Run, planned: Path) -> None:
    old = datetime.now(UTC) - timedelta(days=9)
    add(planned, old, Entry(kind="note", text="long ago"))
    assert "nothing yet" in run("today").out
