"""The child's normal from the command line; its figures are tested with the baseline."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from voicelog.entries import Entry, Heard
from voicelog.journal.store import Journal


@pytest.fixture
def month(planned: Path) -> Path:
    """Thirty days with six procedures each, ended today."""
    first = datetime.now(UTC) - timedelta(days=30)
    with Journal.open(planned / "journal.sqlite", child="Juniper") as journal:
        for number in range(180):
            when = first + timedelta(hours=4 * number)
            rest = (Heard(text="x"), "Rosa", when, "America/Chicago", "g1")
            opened = journal.append(Entry(kind="open"), *rest)
            slots = {"passes": 2, "colour": "white", "thickness": "thin"}
            journal.append(Entry(kind="values", slots=slots, procedure=opened.uuid), *rest)
            journal.append(Entry(kind="close", procedure=opened.uuid), *rest)
    return planned


def test_what_is_usual_is_shown(run: Run, month: Path) -> None:
    ran = run("normal")
    assert ran.code == 0
    assert "6" in ran.out
    assert "white" in ran.out
    assert "not a medical device" in ran.out


def test_a_picture_is_drawn(run: Run, month: Path) -> None:
    assert "Drawn: x.png" in run("normal", "--picture", "x.png").out
    assert Path("x.png").read_bytes().startswith(b"\x89PNG")


def test_the_first_day_says_that_it_is_still_learning(run: Run, planned: Path) -> None:
    run("say", "two passes")
    assert "learning" in run("normal").out
