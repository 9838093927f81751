"""Opening: one writer, private files, and damage told without touching the file."""

import errno
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace

import pytest

from voicelog.entries import Row
from voicelog.journal import (
    Journal,
    JournalBusyError,
    JournalDamagedError,
    JournalDiskError,
    JournalError,
    JournalFullError,
    JournalMissingError,
    JournalReadOnlyError,
    JournalTooNewError,
    NotSavedError,
    UnsafeDiskError,
    WrongChildError,
    opening,
)

from .conftest import Say

Write = Callable[[int], list[Row]]
posix = pytest.mark.skipif(os.name != "posix", reason="permission bits are a Unix matter")


def untouched(place: Path, error: type[JournalError], match: str, child: str = "Juniper") -> None:
    """Check that opening fails in plain words, for reader and writer, and changes nothing."""
    before = place.read_bytes()
    for read_only in (False, True):
        with pytest.raises(error, match=match) as caught:
            Journal.open(place, child=child, read_only=read_only)
        assert len(str(caught.value).splitlines()) == 1
        assert place.read_bytes() == before
    log = place.with_name(f"{place.name}-wal")
    assert not log.exists() or log.stat().st_size == 0


def test_what_keeps_commits_safe_is_set(place: Path) -> None:
    with Journal.open(place, child="Juniper") as journal:
        ask = journal._db.conn.execute
        assert ask("PRAGMA journal_mode").fetchone()[0] == "wal"
        assert ask("PRAGMA synchronous").fetchone()[0] == 2  # FULL
        assert ask("PRAGMA recursive_triggers").fetchone()[0] == 1


def test_a_disk_that_does_not_take_a_setting_is_refused(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "_PRAGMAS", (("journal_mode", "DELETE", "wal"),))
    with pytest.raises(UnsafeDiskError, match="journal_mode is delete"):
        Journal.open(place, child="Juniper")
    monkeypatch.undo()
    Journal.open(place, child="Juniper").close()  # the lock was let go


@posix
def test_only_the_owner_can_look(place: Path, write: Write) -> None:
    write(1)
    with Journal.open(place, child="Juniper") as journal:
        journal.head()
        for path in place.parent.iterdir():
            assert path.stat().st_mode & 0o777 == 0o600, path
    assert place.parent.stat().st_mode & 0o777 == 0o700


@posix
def test_a_file_left_open_to_others_is_closed_to_them(place: Path, write: Write) -> None:
    write(1)
    place.chmod(0o644)
    Journal.open(place, child="Juniper").close()
    assert place.stat().st_mode & 0o777 == 0o600


@posix
def test_a_folder_that_was_there_keeps_its_rights(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    Journal.open(tmp_path / "j.db", child="Juniper").close()
    assert tmp_path.stat().st_mode & 0o777 == 0o755


def test_a_second_writer_is_turned_away(place: Path, say: Say) -> None:
    with Journal.open(place, child="Juniper") as first:
        with pytest.raises(JournalBusyError, match="close it and try again"):
            Journal.open(place, child="Juniper")
        say(first, "note", text="still fine")
    Journal.open(place, child="Juniper").close()


def test_a_second_writer_in_another_process_is_turned_away(place: Path, write: Write) -> None:
    write(1)
    script = (
        "import sys; from pathlib import Path; from voicelog.journal import *\n"
        "try: Journal.open(Path(sys.argv[1]), child='Juniper')\n"
        "except JournalBusyError as error: print(error)"
    )
    command = [sys.executable, "-c", script, str(place)]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    with Journal.open(place, child="Juniper"):
        done = subprocess.run(
            command, capture_output=True, text=True, env=environment, check=True, timeout=60
        )
    assert done.stdout.startswith("Another program is writing")


def test_another_tool_holding_the_file_is_told_as_busy(
    place: Path, say: Say, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "BUSY_SECONDS", 0.01)
    with Journal.open(place, child="Juniper") as journal:
        with closing(sqlite3.connect(place, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(JournalBusyError):
                say(journal, "note", text="x")
            other.execute("ROLLBACK")
        say(journal, "note", text="x")


def test_readers_read_while_the_writer_writes(place: Path, say: Say) -> None:
    with Journal.open(place, child="Juniper") as writer:
        first = say(writer, "note", text="a")
        with Journal.open(place, child="Juniper", read_only=True) as reader:
            assert list(reader.rows()) == [first]
            second = say(writer, "note", text="b")
            assert list(reader.rows()) == [first, second]


def test_a_reader_cannot_append(place: Path, write: Write, say: Say) -> None:
    write(1)
    with Journal.open(place, child="Juniper", read_only=True) as reader:
        assert reader.read_only
        with pytest.raises(JournalReadOnlyError):
            say(reader, "note", text="x")
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            reader._db.conn.execute("DELETE FROM rows")


def test_reading_what_is_not_there_makes_nothing(place: Path) -> None:
    with pytest.raises(JournalMissingError, match="log something first"):
        Journal.open(place, child="Juniper", read_only=True)
    assert not place.parent.exists()


def test_a_folder_in_place_of_the_file(place: Path) -> None:
    place.mkdir(parents=True)
    for read_only in (False, True):
        with pytest.raises(JournalReadOnlyError, match="check the folder"):
            Journal.open(place, child="Juniper", read_only=read_only)


def test_a_file_in_place_of_the_folder(place: Path) -> None:
    place.parent.write_text("not a folder")
    with pytest.raises(JournalReadOnlyError, match="check the folder"):
        Journal.open(place, child="Juniper")


AS_NOBODY = """
import os, sys
from pathlib import Path
from types import SimpleNamespace
from voicelog.journal import *
if os.geteuid() == 0:  # permission bits do not stop root, so become someone else
    os.setgid(65534)
    os.setuid(65534)
place = Path(sys.argv[1])
try:
    Journal.open(place, child="Juniper")
except JournalReadOnlyError as error:
    print(error)
with Journal.open(place, child="Juniper", read_only=True) as journal:
    print(len(list(journal.rows())))
"""


@posix
def test_a_folder_without_write_permission(tmp_path: Path, place: Path, write: Write) -> None:
    write(2)
    for path in [place, *place.parents]:
        if path.is_relative_to(tmp_path.parent.parent):
            path.chmod(path.stat().st_mode | 0o055 if path.is_dir() else 0o444)
    place.parent.chmod(0o555)
    place.with_name(f"{place.name}.lock").unlink()
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(
        [sys.executable, "-c", AS_NOBODY, str(place)],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
        timeout=60,
    )
    place.parent.chmod(0o755)
    assert done.stderr == ""
    refused, rows = done.stdout.splitlines()
    assert "check the folder and its rights" in refused
    assert rows == "2"


@pytest.mark.parametrize("content", [b"", b"\0" * 5000, b"hello" * 1000, b"SQLite format 3\0"])
def test_a_file_that_is_no_journal(place: Path, content: bytes) -> None:
    place.parent.mkdir()
    place.write_bytes(content)
    untouched(place, JournalDamagedError, "was left as it is")


def test_another_programs_database(place: Path) -> None:
    place.parent.mkdir()
    with closing(sqlite3.connect(place)) as other:
        other.execute("CREATE TABLE rows (x)")
    untouched(place, JournalDamagedError, "not a voicelog journal")


def test_a_file_cut_short_anywhere_is_told(place: Path, write: Write) -> None:
    write(60)
    whole = place.read_bytes()
    assert len(whole) > 10 * 4096
    cuts = {0, 1, 15, 16, 99, 100, 1000, len(whole) - 1, *range(4096, len(whole), 4096)}
    for size in sorted(cuts):
        place.write_bytes(whole[:size])
        untouched(place, JournalDamagedError, "restore a backup")
    place.write_bytes(whole)
    with Journal.open(place, child="Juniper") as journal:
        assert len(list(journal.rows())) == 60


def test_a_lost_page_in_the_middle_is_told(place: Path, write: Write) -> None:
    write(60)
    whole = place.read_bytes()
    for start in range(4096, len(whole), 4096):
        place.write_bytes(whole[:start] + bytes(4096) + whole[start + 4096 :])
        untouched(place, JournalDamagedError, "restore a backup")


def test_only_the_log_is_left(place: Path, say: Say) -> None:
    journal = Journal.open(place, child="Juniper")
    say(journal, "note", text="x")
    log = place.with_name(f"{place.name}-wal").read_bytes()
    journal.close()
    place.unlink()
    place.with_name(f"{place.name}-wal").write_bytes(log)
    with pytest.raises(JournalDamagedError, match="the file it belongs to is gone"):
        Journal.open(place, child="Juniper")
    assert place.with_name(f"{place.name}-wal").read_bytes() == log


def test_one_file_for_each_child(place: Path, write: Write) -> None:
    write(1)
    untouched(place, WrongChildError, "belongs to Juniper, not to Basil", child="Basil")


def test_a_file_of_a_newer_version(place: Path, write: Write) -> None:
    write(1)
    with closing(sqlite3.connect(place)) as conn:
        conn.execute("PRAGMA user_version = 99")
        conn.execute("PRAGMA journal_mode = DELETE")
    untouched(place, JournalTooNewError, "install the newest version")


def test_a_crash_while_making_the_file_does_no_harm(place: Path, write: Write) -> None:
    place.parent.mkdir()
    place.with_name(f"{place.name}.new").write_bytes(b"half a jou")
    assert len(write(1)) == 1
    assert not place.with_name(f"{place.name}.new").exists()


def test_a_journal_that_was_closed(place: Path, say: Say) -> None:
    journal = Journal.open(place, child="Juniper")
    journal.close()
    journal.close()
    with pytest.raises(NotSavedError):
        say(journal, "note", text="x")


def test_a_full_disk_is_named_where_sqlite_only_says_that_it_failed(
    place: Path, write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite could not make its small files beside the journal: SQLITE_IOERR_SHMSIZE."""
    write(1)
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = sqlite3.SQLITE_IOERR | 19 << 8

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(opening, "_make_safe", fail)
    with pytest.raises(JournalDiskError, match="check the disk for faults"):
        Journal.open(place, child="Juniper")
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=4096))
    with pytest.raises(JournalFullError, match="free some space"):
        Journal.open(place, child="Juniper")


@pytest.mark.parametrize(
    ("code", "error"),
    [
        (errno.ENOSPC, JournalFullError),
        (errno.EIO, JournalDiskError),
        (errno.EACCES, JournalReadOnlyError),
    ],
)
def test_why_the_lock_could_not_be_made(
    place: Path, monkeypatch: pytest.MonkeyPatch, code: int, error: type[JournalError]
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError(code, "no")

    monkeypatch.setattr(Path, "mkdir", fail)
    with pytest.raises(error):
        Journal.open(place, child="Juniper")
