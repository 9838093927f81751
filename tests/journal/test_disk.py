"""The harness itself: it sees what SQLite does, and leaves nothing behind."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from .disk import FULL, available, faulty_disk

pytestmark = pytest.mark.skipif(not available(), reason="needs SQLite as a shared library on Linux")


def test_it_sees_each_write_and_sync(tmp_path: Path) -> None:
    written: list[str] = []
    synced: list[str] = []
    with faulty_disk() as faults:
        faults.after_write = lambda path: written.append(path.name)
        faults.after_sync = lambda path: synced.append(path.name)
        with closing(sqlite3.connect(tmp_path / "a.db")) as conn:
            conn.execute("PRAGMA synchronous = FULL")
            conn.execute("CREATE TABLE t (x)")
    assert {"a.db", "a.db-journal"} <= set(written)
    assert {"a.db", "a.db-journal"} <= set(synced)
    count = len(written)
    with closing(sqlite3.connect(tmp_path / "a.db")) as conn:
        conn.execute("INSERT INTO t VALUES (1)")
        conn.commit()
    assert len(written) == count


def test_it_can_refuse(tmp_path: Path) -> None:
    with faulty_disk() as faults:
        faults.before_write = lambda _, __: (0, FULL)
        with (
            closing(sqlite3.connect(tmp_path / "a.db")) as conn,
            pytest.raises(sqlite3.OperationalError, match="full"),
        ):
            conn.execute("CREATE TABLE t (x)")
