"""Rows outlive a power cut, and a disk that refuses is told as "not saved".

A power cut is played at its worst: of each file only what was last synced is left.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from voicelog.entries import Row
from voicelog.journal import Journal, JournalDiskError, JournalError, JournalFullError, opening

from .conftest import Say
from .disk import FULL, IO_SYNC_FAILED, IO_WRITE_FAILED, OK, Faults, available, faulty_disk

pytestmark = pytest.mark.skipif(not available(), reason="needs SQLite as a shared library on Linux")


@pytest.fixture
def faults() -> Iterator[Faults]:
    with faulty_disk() as made:
        yield made


def cut(place: Path, faults: Faults, after: Path) -> None:
    """From now on keep in ``after`` what a power cut would leave."""
    shutil.copytree(place.parent, after)
    faults.after_sync = lambda path: shutil.copy(path, after / path.name)


def survivors(place: Path, after: Path) -> list[Row]:
    (after / f"{place.name}-shm").unlink(missing_ok=True)  # memory, gone with the power
    with Journal.open(after / place.name, child="Juniper") as journal:
        assert journal.verify().ok
        return list(journal.rows())


def log_through_cuts(place: Path, faults: Faults, say: Say, after: Path) -> list[int]:
    """Append rows and return how many of them each power cut would have cost."""
    lost = []
    rows = []
    with Journal.open(place, child="Juniper") as journal:
        cut(place, faults, after)
        for n in range(6):
            rows.append(say(journal, "note", text=f"note {n}"))
            image = after.with_name(f"image{n}")
            shutil.copytree(after, image)
            kept = survivors(place, image)
            assert kept == rows[: len(kept)]
            lost.append(len(rows) - len(kept))
    return lost


def test_no_row_is_lost_to_a_power_cut(
    place: Path, faults: Faults, say: Say, tmp_path: Path
) -> None:
    assert log_through_cuts(place, faults, say, tmp_path / "after") == [0] * 6


@pytest.mark.parametrize(("setting", "code"), [("OFF", 0), ("NORMAL", 1)])
def test_the_power_cut_catches_a_weaker_setting(
    setting: str,
    code: int,
    place: Path,
    faults: Faults,
    say: Say,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    weak = tuple(
        (name, setting, code) if name == "synchronous" else (name, value, expected)
        for name, value, expected in opening._PRAGMAS
    )
    monkeypatch.setattr(opening, "_PRAGMAS", weak)
    assert max(log_through_cuts(place, faults, say, tmp_path / "after")) > 0


def test_each_append_syncs_before_it_returns(place: Path, faults: Faults, say: Say) -> None:
    synced: list[str] = []
    with Journal.open(place, child="Juniper") as journal:
        faults.after_sync = lambda path: synced.append(path.name)
        for _ in range(5):
            synced.clear()
            say(journal, "note", text="x")
            assert "juniper.db-wal" in synced


@pytest.mark.parametrize(
    ("answer", "error"), [(FULL, JournalFullError), (IO_WRITE_FAILED, JournalDiskError)]
)
def test_a_write_that_fails_anywhere_saves_nothing_and_loses_nothing(
    place: Path, faults: Faults, say: Say, answer: int, error: type[JournalError]
) -> None:
    failures = 0
    with Journal.open(place, child="Juniper") as journal:
        rows = [say(journal, "note", text="first")]
        for allowed in range(100):
            budget = iter([True] * allowed)
            faults.before_write = lambda _, size: (size, OK) if next(budget, None) else (0, answer)  # noqa: B023
            try:
                rows.append(say(journal, "note", text=f"try {allowed}"))
                break
            except error:
                failures += 1
                assert list(journal.rows()) == rows
        # Space is freed: the same journal goes on.
        faults.before_write = lambda _, size: (size, OK)
        rows.append(say(journal, "note", text="after"))
        assert list(journal.rows()) == rows
        assert journal.verify().ok
    assert failures >= 5
    with Journal.open(place, child="Juniper") as again:
        assert list(again.rows()) == rows


def test_a_sync_that_fails_is_not_saved(place: Path, faults: Faults, say: Say) -> None:
    with Journal.open(place, child="Juniper") as journal:
        first = say(journal, "note", text="first")
        faults.before_sync = lambda _: IO_SYNC_FAILED
        with pytest.raises(JournalDiskError, match="free some space on it, check the disk"):
            say(journal, "note", text="second")
        assert list(journal.rows()) == [first]
        faults.before_sync = lambda _: OK
        again = say(journal, "note", text="second")
        assert list(journal.rows()) == [first, again]
        assert journal.verify().ok


def test_a_disk_full_while_the_journal_is_made_leaves_none(
    place: Path, faults: Faults, say: Say
) -> None:
    faults.before_write = lambda _, __: (0, FULL)
    with pytest.raises(JournalFullError, match="free some space"):
        Journal.open(place, child="Juniper")
    assert not place.exists()
    faults.before_write = lambda _, size: (size, OK)
    with Journal.open(place, child="Juniper") as journal:
        say(journal, "note", text="now")
