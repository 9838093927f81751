"""Copies that are whole, checked, and never in the way."""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from voicelog.entries import Row
from voicelog.journal import (
    BackupExistsError,
    Journal,
    JournalDamagedError,
    JournalFullError,
    JournalMissingError,
    JournalReadOnlyError,
    WrongChildError,
    restore,
)

from .conftest import Say
from .disk import FULL, available, faulty_disk

Write = Callable[[int], list[Row]]


def test_a_backup_holds_what_is_still_in_the_log(place: Path, say: Say, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    with Journal.open(place, child="Juniper") as journal:
        rows = [say(journal, "note", text=f"{n}") for n in range(5)]
        assert place.with_name(f"{place.name}-wal").stat().st_size > 0
        journal.backup(copy)
        say(journal, "note", text="later")
    assert sorted(path.name for path in tmp_path.glob("copy*")) == ["copy.db"]
    with Journal.open(copy, child="Juniper", read_only=True) as backup:
        assert list(backup.rows()) == rows
        assert backup.verify().ok


def test_a_backup_is_one_file_even_while_it_is_read(
    place: Path, write: Write, tmp_path: Path
) -> None:
    write(2)
    copy = tmp_path / "copy.db"
    with Journal.open(place, child="Juniper") as journal:
        journal.backup(copy)
    with Journal.open(copy, child="Juniper", read_only=True) as backup:
        assert len(list(backup.rows())) == 2
        assert sorted(path.name for path in tmp_path.glob("copy*")) == ["copy.db"]


@pytest.mark.skipif(os.name != "posix", reason="permission bits are a Unix matter")
def test_a_backup_is_private(place: Path, write: Write, tmp_path: Path) -> None:
    write(1)
    with Journal.open(place, child="Juniper", read_only=True) as journal:
        journal.backup(tmp_path / "copy.db")
    assert (tmp_path / "copy.db").stat().st_mode & 0o777 == 0o600


def test_a_backup_never_writes_over_a_file(place: Path, write: Write, tmp_path: Path) -> None:
    write(1)
    (tmp_path / "copy.db").write_text("mine")
    with (
        Journal.open(place, child="Juniper") as journal,
        pytest.raises(BackupExistsError, match="choose another name"),
    ):
        journal.backup(tmp_path / "copy.db")
    assert (tmp_path / "copy.db").read_text() == "mine"


def test_a_backup_to_nowhere(place: Path, write: Write, tmp_path: Path) -> None:
    write(1)
    with (
        Journal.open(place, child="Juniper") as journal,
        pytest.raises(JournalReadOnlyError, match="check the folder"),
    ):
        journal.backup(tmp_path / "no" / "such" / "copy.db")


def test_a_journal_that_does_not_check_is_not_backed_up(
    place: Path, write: Write, tmp_path: Path
) -> None:
    write(3)
    with closing(sqlite3.connect(place)) as conn, conn:
        conn.execute("DROP TRIGGER rows_no_UPDATE")
        conn.execute("UPDATE rows SET text = 'other' WHERE seq = 2")
    with (
        Journal.open(place, child="Juniper") as journal,
        pytest.raises(JournalDamagedError, match="row 2: it was changed"),
    ):
        journal.backup(tmp_path / "copy.db")
    assert not list(tmp_path.glob("copy*"))


@pytest.mark.skipif(not available(), reason="needs SQLite as a shared library on Linux")
def test_a_full_disk_leaves_no_half_backup(place: Path, write: Write, tmp_path: Path) -> None:
    write(3)
    with faulty_disk() as faults, Journal.open(place, child="Juniper") as journal:
        faults.before_write = lambda _, __: (0, FULL)
        with pytest.raises(JournalFullError):
            journal.backup(tmp_path / "copy.db")
        assert not list(tmp_path.glob("copy*"))


def test_restore_and_go_on(place: Path, write: Write, say: Say, tmp_path: Path) -> None:
    rows = write(3)
    with Journal.open(place, child="Juniper") as journal:
        journal.backup(tmp_path / "copy.db")
        noted = journal.head()
    place.write_bytes(b"ruined")
    with pytest.raises(BackupExistsError):
        restore(tmp_path / "copy.db", place, child="Juniper")
    place.unlink()
    restore(tmp_path / "copy.db", place, child="Juniper")
    with Journal.open(place, child="Juniper") as journal:
        rows.append(say(journal, "note", text="goes on"))
        assert list(journal.rows()) == rows
        assert journal.verify(noted).ok


def test_restore_never_lets_an_old_log_into_the_new_file(
    place: Path, write: Write, say: Say, tmp_path: Path
) -> None:
    write(2)
    journal = Journal.open(place, child="Juniper")
    journal.backup(tmp_path / "copy.db")
    say(journal, "note", text="in the log only")
    log = place.with_name(f"{place.name}-wal")
    content = log.read_bytes()
    journal.close()
    place.unlink()
    log.write_bytes(content)
    with pytest.raises(JournalDamagedError, match="the file it belongs to is gone"):
        restore(tmp_path / "copy.db", place, child="Juniper")
    assert not place.exists()


def test_restore_checks_the_backup(place: Path, write: Write, tmp_path: Path) -> None:
    with pytest.raises(JournalMissingError):
        restore(tmp_path / "none.db", place, child="Juniper")
    write(1)
    with Journal.open(place, child="Juniper") as journal:
        journal.backup(tmp_path / "copy.db")
    with pytest.raises(WrongChildError):
        restore(tmp_path / "copy.db", tmp_path / "new.db", child="Basil")
    (tmp_path / "bad.db").write_bytes((tmp_path / "copy.db").read_bytes()[:9000])
    with pytest.raises(JournalDamagedError):
        restore(tmp_path / "bad.db", tmp_path / "new.db", child="Juniper")
    assert not (tmp_path / "new.db").exists()
