"""Open the journal's file so that what it holds is safe and only ours to write.

One process writes.  SQLite 3.7.0 to 3.51.2 can corrupt a write-ahead log when two
connections write or checkpoint at once (sqlite.org, "WAL-reset bug"), so an
operating system lock keeps out a second writer, and readers never checkpoint.
"""

import errno
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from voicelog.journal import chain, schema
from voicelog.journal.errors import (
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
)

BUSY_SECONDS = 2.0

FULL_BELOW = 1_000_000
"""Free bytes below which a disk that fails is taken to be full: SQLite's own small files
beside the journal need some room, and without it SQLite tells of nothing but a failure."""

_PRAGMAS = (
    # Each commit reaches the disk before it returns.
    ("journal_mode", "WAL", "wal"),
    ("synchronous", "FULL", 2),
    # Deletes hidden in INSERT OR REPLACE must also meet the triggers.
    ("recursive_triggers", "ON", 1),
    # Only this makes a sync real on a Mac; elsewhere it changes nothing.
    ("fullfsync", "ON", 1),
    ("checkpoint_fullfsync", "ON", 1),
)


def writer_lock(path: Path) -> FileLock:
    """Take the one writer's place for ``path``, making its folder if need be.

    Raises:
        JournalBusyError: another writer holds it.
        JournalReadOnlyError: the folder cannot be made or written.
        JournalFullError, JournalDiskError: the disk takes no more, or fails.
    """
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        lock = FileLock(
            path.with_name(f"{path.name}.lock"),
            timeout=0,
            mode=0o600,
            thread_local=False,
            fallback_to_soft=False,
        )
        lock.acquire()
    except Timeout as error:
        raise JournalBusyError(str(path)) from error
    except NotImplementedError as error:
        raise JournalReadOnlyError(str(path)) from error
    except OSError as error:
        raise _of_system(error, path) from error
    return lock


def connect_writer(path: Path, child: str) -> sqlite3.Connection:
    """Open ``path`` for writing, making it first if it is not there.

    The file is looked at through a read-only connection first, so a damaged one
    is never touched.  The caller holds the writer's lock.

    Raises:
        JournalError: one of its classes, as the file or disk is.
    """
    with translated(path):
        if not path.exists():
            refuse_orphan(path)
            journal = schema.new_identity()
            schema.create(path, child, chain.start(journal, child), journal)
        with closing(connect_reader(path, child)):
            pass
        path.chmod(0o600)
        conn = _connect(f"{path.absolute().as_uri()}?mode=rw")
        try:
            _make_safe(conn, path)
        except BaseException:
            conn.close()
            raise
        return conn


def connect_reader(path: Path, child: str) -> sqlite3.Connection:
    """Open ``path`` read-only, after checking that it is whole and the child's.

    Raises:
        JournalError: one of its classes, as the file or disk is.
    """
    if not path.exists():
        raise JournalMissingError(str(path))
    if not path.is_file():
        raise JournalReadOnlyError(str(path))
    with translated(path):
        conn = _connect(_readable_uri(path))
        try:
            _inspect(conn, path, child)
        except BaseException:
            conn.close()
            raise
        return conn


@contextmanager
def translated(path: Path) -> Iterator[None]:
    """Turn what SQLite or the system says into one of the journal's errors."""
    try:
        yield
    except JournalError:
        raise
    except sqlite3.Error as error:
        raise _plain(error, path) from error
    except (ValueError, OverflowError) as error:  # a value no file could hold
        raise NotSavedError("it holds something that cannot be kept") from error
    except OSError as error:
        raise _of_system(error, path) from error


def _plain(error: sqlite3.Error, path: Path) -> JournalError:
    code, place = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF, str(path)
    unreachable = code in (sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN)
    if code == sqlite3.SQLITE_FULL or (unreachable and _disk_is_full(path)):
        return JournalFullError(place)
    if code == sqlite3.SQLITE_IOERR:
        return JournalDiskError(place, str(error))
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN):
        return JournalReadOnlyError(place)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return JournalBusyError(place)
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return JournalDamagedError(place, str(error))
    return NotSavedError(f"the journal said '{error}'")


def _of_system(error: OSError, path: Path) -> JournalError:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return JournalFullError(str(path))
    if error.errno == errno.EIO:
        return JournalDiskError(str(path), error.strerror or "it failed")
    return JournalReadOnlyError(str(path))


def _disk_is_full(path: Path) -> bool:
    try:
        return shutil.disk_usage(path.parent).free < FULL_BELOW
    except OSError:
        return False


def _connect(uri: str) -> sqlite3.Connection:
    # Several threads may share it; the Journal lets in one at a time.
    conn = sqlite3.connect(
        uri, uri=True, isolation_level=None, check_same_thread=False, timeout=BUSY_SECONDS
    )
    conn.row_factory = sqlite3.Row
    return conn


def _readable_uri(path: Path) -> str:
    """Return how to open a file for reading, even in a folder that takes no more files.

    That is safe only while no log lies beside the file.
    """
    uri = f"{path.absolute().as_uri()}?mode=ro"
    try:
        with closing(_connect(uri)) as conn:
            conn.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    except sqlite3.OperationalError as error:
        unreachable = error.sqlite_errorcode & 0xFF in (
            sqlite3.SQLITE_CANTOPEN,
            sqlite3.SQLITE_READONLY,
            sqlite3.SQLITE_IOERR,
        )
        if unreachable and not _has_log(path):
            return f"{uri}&immutable=1"
        raise
    return uri


def refuse_orphan(path: Path) -> None:
    """Refuse a log without its file: SQLite would pour it into the new file.

    Raises:
        JournalDamagedError: there is such a log.
    """
    if not path.exists() and _has_log(path):
        raise JournalDamagedError(f"{path}-wal", "the file it belongs to is gone")


def _has_log(path: Path) -> bool:
    log = path.with_name(f"{path.name}-wal")
    return log.exists() and log.stat().st_size > 0


def _inspect(conn: sqlite3.Connection, path: Path, child: str) -> None:
    if path.stat().st_size == 0:
        raise JournalDamagedError(str(path), "the file is empty")
    if conn.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION_ID:
        raise JournalDamagedError(str(path), "it is not a voicelog journal")
    if conn.execute("PRAGMA user_version").fetchone()[0] > schema.VERSION:
        raise JournalTooNewError(str(path))
    page = conn.execute("PRAGMA page_size").fetchone()[0]
    if path.stat().st_size % page and not _has_log(path):
        # SQLite would read the missing end of the last page as noughts.
        raise JournalDamagedError(str(path), "the end of the file is missing")
    found = conn.execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok":
        raise JournalDamagedError(str(path), found.splitlines()[-1])
    owner = about(conn)["child"]
    if owner != child:
        raise WrongChildError(str(path), owner, child)


def about(conn: sqlite3.Connection) -> dict[str, str]:
    """Return whose journal it is and where its chain starts."""
    return dict(conn.execute("SELECT key, value FROM about").fetchall())


def _make_safe(conn: sqlite3.Connection, path: Path) -> None:
    """Set what keeps a commit safe, and believe only what is read back."""
    for name, value, expected in _PRAGMAS:
        conn.execute(f"PRAGMA {name} = {value}")
        found = conn.execute(f"PRAGMA {name}").fetchone()[0]
        if found != expected:
            raise UnsafeDiskError(str(path), f"{name} is {found}")
