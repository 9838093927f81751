"""The file itself refuses to change what was written."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from voicelog.entries import Row
from voicelog.journal import Journal

Write = Callable[[int], list[Row]]

INSERT = "INSERT {} INTO rows SELECT {} FROM rows WHERE seq = 2"
COLUMNS = (
    "{seq}, {uuid}, utc, zone, caregiver, kind, procedure, target, slots, text, heard, "
    "grammar_version, {prev}, digest"
)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE rows SET text = 'other' WHERE seq = 2",
        "DELETE FROM rows WHERE seq = 3",
        "DELETE FROM rows",
        "UPDATE about SET value = 'Basil' WHERE key = 'child'",
        "DELETE FROM about",
        "INSERT INTO about VALUES ('x', 'y')",
        # Deletes a row through its key, unless recursive triggers see it.
        INSERT.format("OR REPLACE", COLUMNS.format(seq=3, uuid="uuid", prev="prev")),
        # A gap, a fork from an older row, and a row before the first.
        INSERT.format("", COLUMNS.format(seq=5, uuid="'u'", prev="digest")),
        INSERT.format("", COLUMNS.format(seq=4, uuid="'u'", prev="prev")),
        INSERT.format("", COLUMNS.format(seq=0, uuid="'u'", prev="digest")),
    ],
)
def test_nothing_is_changed(place: Path, write: Write, statement: str) -> None:
    rows = write(3)
    with closing(sqlite3.connect(place)) as conn:
        conn.execute("PRAGMA recursive_triggers = ON")
        with pytest.raises(sqlite3.IntegrityError, match=r"never changed|must follow"):
            conn.execute(statement)
    with Journal.open(place, child="Juniper") as journal:
        assert list(journal.rows()) == rows
        assert journal.verify().ok


def test_the_journals_own_connection_has_the_triggers_on(place: Path, write: Write) -> None:
    write(3)
    with Journal.open(place, child="Juniper") as journal:
        sql = INSERT.format("OR REPLACE", COLUMNS.format(seq=3, uuid="uuid", prev="prev"))
        with pytest.raises(sqlite3.IntegrityError):
            journal._db.conn.execute(sql)


def test_wrong_types_are_refused(place: Path) -> None:
    Journal.open(place, child="Juniper").close()
    with closing(sqlite3.connect(place)) as conn, pytest.raises(sqlite3.IntegrityError):
        conn.execute("INSERT INTO rows (seq, uuid) VALUES (1, x'00')")


def test_reads_by_time_procedure_and_target_use_an_index(place: Path, write: Write) -> None:
    write(1)
    questions = {
        "SELECT min(+seq) FROM rows WHERE utc >= 'x'": "rows_utc",
        "SELECT kind FROM rows WHERE uuid = 'x'": "sqlite_autoindex_rows_1",
        "SELECT * FROM rows WHERE kind = 'undo'": "rows_kind",
        "SELECT * FROM rows WHERE procedure = 'x'": "rows_procedure",
        "SELECT * FROM rows WHERE target = 'x'": "rows_target",
    }
    with closing(sqlite3.connect(place)) as conn:
        for sql, index in questions.items():
            plan = conn.execute(f"EXPLAIN QUERY PLAN {sql}").fetchone()[3]
            assert f"INDEX {index}" in plan
