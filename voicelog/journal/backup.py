"""Copies of the journal that are whole files on their own.

A live SQLite file must not be copied as a file: its newest rows may still be in
the log beside it.  The copy is made by SQLite, checked, and only then named.
"""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from voicelog.journal import chain, schema
from voicelog.journal.errors import BackupExistsError, JournalDamagedError
from voicelog.journal.opening import about, connect_reader, refuse_orphan, translated


def copy_out(conn: sqlite3.Connection, path: Path, child: str) -> None:
    """Copy an open journal to ``path``.

    Raises:
        BackupExistsError: ``path`` is there already.
        JournalError: the copy failed or did not check; nothing is left at ``path``.
    """
    if path.exists():
        raise BackupExistsError(str(path))
    draft = path.with_name(f"{path.name}.new")
    with translated(path):
        refuse_orphan(path)
        draft.unlink(missing_ok=True)
        os.close(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        try:
            _copy(conn, draft)
            _check(draft, child)
            draft.rename(path)
            schema.sync_folder(path.parent)
        finally:
            draft.unlink(missing_ok=True)


def restore(backup: Path, path: Path, *, child: str) -> None:
    """Make the journal at ``path`` from a backup; an existing journal is never replaced.

    Raises:
        JournalMissingError: there is no such backup.
        BackupExistsError: there is a journal at ``path``; move it away first.
        JournalError: the backup is damaged or another child's, or the disk refused.
    """
    with closing(connect_reader(backup, child)) as conn:
        copy_out(conn, path, child)


def _copy(conn: sqlite3.Connection, draft: Path) -> None:
    with closing(sqlite3.connect(draft, isolation_level=None)) as copy:
        copy.execute("PRAGMA synchronous = FULL")
        conn.backup(copy)
        # The copy says "WAL" like its origin; a lone file must not need a log.
        copy.execute("PRAGMA journal_mode = DELETE")


def _check(draft: Path, child: str) -> None:
    with closing(connect_reader(draft, child)) as copy:
        rows = copy.execute("SELECT * FROM rows ORDER BY seq")
        verdict = chain.examine(about(copy)["start"], (dict(row) for row in rows))
    if not verdict.ok:
        raise JournalDamagedError(str(draft), f"row {verdict.broken}: {verdict.why}")
