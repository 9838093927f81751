"""The journal's file: its tables, the rules they enforce, and how it is made.

A new file is built beside its place and renamed, so a crash leaves either no
journal or a whole one, and an empty file is always damage.
"""

import os
import sqlite3
from contextlib import closing
from pathlib import Path
from uuid import uuid4

APPLICATION_ID = 0x766C6F67  # "vlog", tells our file from any other SQLite file
VERSION = 1

_TABLES = """
CREATE TABLE about (
    key TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

CREATE TABLE rows (
    seq INTEGER PRIMARY KEY,
    uuid TEXT NOT NULL UNIQUE,
    utc TEXT NOT NULL,
    zone TEXT NOT NULL,
    caregiver TEXT NOT NULL,
    kind TEXT NOT NULL,
    procedure TEXT,
    target TEXT,
    slots TEXT NOT NULL,
    text TEXT NOT NULL,
    heard TEXT NOT NULL,
    grammar_version TEXT NOT NULL,
    prev TEXT NOT NULL,
    digest TEXT NOT NULL
) STRICT;

CREATE INDEX rows_utc ON rows (utc);
CREATE INDEX rows_kind ON rows (kind);
CREATE INDEX rows_procedure ON rows (procedure) WHERE procedure IS NOT NULL;
CREATE INDEX rows_target ON rows (target) WHERE target IS NOT NULL;

CREATE TRIGGER rows_follow BEFORE INSERT ON rows
WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM rows)
    OR NEW.prev <> coalesce(
        (SELECT digest FROM rows ORDER BY seq DESC LIMIT 1),
        (SELECT value FROM about WHERE key = 'start')
    )
BEGIN SELECT RAISE(ABORT, 'a row must follow the last one'); END;
"""

_GUARD = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{table} are never changed'); END;
"""


def create(path: Path, child: str, start: str, journal: str) -> None:
    """Write a new, empty journal at ``path``; the caller holds the writer's lock.

    Raises:
        sqlite3.Error, OSError: as the disk said; no file is left at ``path``.
    """
    draft = path.with_name(f"{path.name}.new")
    draft.unlink(missing_ok=True)
    os.close(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    with closing(sqlite3.connect(draft, isolation_level=None)) as conn:
        guards = "".join(_GUARD.format(table="rows", verb=verb) for verb in ("UPDATE", "DELETE"))
        conn.executescript(f"PRAGMA synchronous = FULL; BEGIN; {_TABLES} {guards}")
        about = {"child": child, "journal": journal, "start": start}
        conn.executemany("INSERT INTO about VALUES (?, ?)", about.items())
        for verb in ("UPDATE", "DELETE", "INSERT"):
            conn.execute(_GUARD.format(table="about", verb=verb))
        conn.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        conn.execute(f"PRAGMA user_version = {VERSION}")
        conn.execute("COMMIT")
    draft.rename(path)
    sync_folder(path.parent)


def new_identity() -> str:
    """Return a name for a new journal, unlike any other."""
    return str(uuid4())


def sync_folder(folder: Path) -> None:
    """Make a rename in ``folder`` last through a power cut, where the system can."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
