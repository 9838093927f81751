"""The journal: rows are added, never changed, and safe once ``append`` returns."""

import json
import sqlite3
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path
from threading import RLock
from typing import Self, cast
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from filelock import FileLock
from sqlite_utils import Database

from voicelog.entries import Entry, EntryKind, Event, Heard, Procedure, Row
from voicelog.journal import chain, views
from voicelog.journal.backup import copy_out
from voicelog.journal.chain import Head, Verdict
from voicelog.journal.columns import instant, to_row, to_stored
from voicelog.journal.errors import (
    JournalDamagedError,
    JournalReadOnlyError,
    NotSavedError,
    TargetMissingError,
)
from voicelog.journal.opening import (
    about,
    connect_reader,
    connect_writer,
    translated,
    writer_lock,
)

_CHUNK = 1000  # rows read at a time, so that a long read never holds up an append
_ROWS = "SELECT * FROM rows WHERE seq > ? ORDER BY seq LIMIT ?"
_FACTS = (
    "SELECT seq, uuid, utc, zone, caregiver, kind, slots, procedure, target, text"
    " FROM rows WHERE seq > ? ORDER BY seq LIMIT ?"
)


class Journal:
    """One child's record in one SQLite file.  Use ``Journal.open``.

    Threads may share it.  Two processes may not both write; any number may read.
    """

    def __init__(
        self, path: Path, child: str, conn: sqlite3.Connection, lock: FileLock | None
    ) -> None:
        self.path = path
        self.child = child
        self._db = Database(conn, execute_plugins=False)
        self._lock = lock
        self._guard = RLock()
        self._start = about(conn)["start"]

    @classmethod
    def open(cls, path: Path, *, child: str, read_only: bool = False) -> Self:
        """Open the journal of ``child``, making file and folder when writing needs them.

        Raises:
            JournalMissingError: ``read_only`` and there is no file.
            JournalBusyError: another writer has it open.
            JournalReadOnlyError: the place cannot be written.
            JournalDamagedError, JournalTooNewError, WrongChildError, UnsafeDiskError:
                as named; the file is left as it is.
        """
        if read_only:
            return cls(path, child, connect_reader(path, child), None)
        lock = writer_lock(path)
        try:
            return cls(path, child, connect_writer(path, child), lock)
        except BaseException:
            lock.release()
            raise

    def close(self) -> None:
        """Close the file and let another writer in; closing twice does no harm."""
        with self._guard:
            self._db.close()
            if self._lock is not None:
                self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def read_only(self) -> bool:
        """Tell whether ``append`` will refuse."""
        return self._lock is None

    def append(
        self,
        entry: Entry,
        heard: Heard,
        caregiver: str,
        utc: datetime,
        zone: str,
        grammar_version: str,
    ) -> Row:
        """Add one row; when this returns it has reached the disk.

        Raises:
            TargetMissingError: the entry points to a row that is not there.
            JournalFullError, JournalReadOnlyError, JournalBusyError,
            JournalDamagedError, NotSavedError: nothing was saved.
        """
        if self.read_only:
            raise JournalReadOnlyError(str(self.path))
        _refuse_naive(utc, zone)
        with self._guard, translated(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                head = self.head()
                row = Row(
                    uuid=uuid4(),
                    seq=head.seq + 1,
                    utc=utc,
                    zone=zone,
                    child=self.child,
                    caregiver=caregiver,
                    entry=entry,
                    heard=heard,
                    grammar_version=grammar_version,
                )
                self._refuse_dangling(entry)
                stored = to_stored(row, head.digest)
                self._db.table("rows").insert({**stored, "digest": chain.link(stored)})
                self._db.execute("COMMIT")
            except BaseException:
                self._db.rollback()
                raise
        return row

    def head(self) -> Head:
        """Return the last row's number and digest; note it elsewhere to show up cuts."""
        last = self._all("SELECT seq, digest FROM rows ORDER BY seq DESC LIMIT 1")
        return Head(seq=last[0]["seq"], digest=last[0]["digest"]) if last else self._origin()

    def rows(self, since: datetime | None = None) -> Iterator[Row]:
        """Yield rows in the order they were written, from the first at or after ``since``."""
        for stored in self._stream(_ROWS, self._before(since)):
            yield to_row(dict(stored), self.child)

    def procedures(self, since: datetime | None = None) -> tuple[Procedure, ...]:
        """Return the procedures that started at or after ``since``, undo and corrections in."""
        found = views.procedures(self._facts(self._before(since)))
        return tuple(p for p in found if since is None or p.started >= since)

    def events(
        self, since: datetime | None = None, kinds: Iterable[EntryKind] | None = None
    ) -> tuple[Event, ...]:
        """Return the events at or after ``since``, of some kinds only if they are given."""
        wanted = None if kinds is None else set(kinds)
        return tuple(
            event
            for event in views.events(self._facts(self._before(since)))
            if (since is None or event.at >= since) and (wanted is None or event.kind in wanted)
        )

    def last_countable(self) -> Row | None:
        """Return the row that "undo" is about, or None when nothing is left to undo."""
        last, span = self.head().seq, _CHUNK
        while True:
            fact = views.last_countable(self._facts(max(0, last - span)))
            if fact is not None:
                return self.row(UUID(fact.uuid))
            if span >= last:
                return None
            span *= 8

    def row(self, uuid: UUID) -> Row | None:
        """Return one row by its uuid, if it is there."""
        found = self._all("SELECT * FROM rows WHERE uuid = ?", str(uuid))
        return to_row(dict(found[0]), self.child) if found else None

    def verify(self, known: Head | None = None) -> Verdict:
        """Check the file, then every row against the chain and a head noted earlier.

        Raises:
            JournalDamagedError: the file itself is damaged, indices included.
        """
        found = str(self._all("PRAGMA integrity_check(1)")[0][0])
        if found != "ok":
            raise JournalDamagedError(str(self.path), found.splitlines()[-1])
        stored = (dict(row) for row in self._stream(_ROWS, 0))
        return chain.examine(self._origin().digest, stored, known)

    def backup(self, path: Path) -> None:
        """Write a whole, checked copy to ``path`` while logging goes on.

        Raises:
            BackupExistsError: ``path`` is there already.
            JournalFullError, JournalReadOnlyError, JournalDamagedError: no copy was left.
        """
        with self._guard:
            copy_out(self._db.conn, path, self.child)

    def _origin(self) -> Head:
        return Head(seq=0, digest=self._start)

    def _all(self, sql: str, *values: object) -> list[sqlite3.Row]:
        with self._guard, translated(self.path):
            return cast("list[sqlite3.Row]", self._db.execute(sql, values).fetchall())

    def _before(self, since: datetime | None) -> int:
        """Return the seq before the first row at or after ``since``.

        Reading goes by seq, since a clock may be set back but seq never is.
        """
        if since is None:
            return 0
        # The plus keeps SQLite on the index of times instead of walking every row.
        first = self._all("SELECT min(+seq) FROM rows WHERE utc >= ?", instant(since))[0][0]
        return self.head().seq if first is None else int(first) - 1

    def _stream(self, sql: str, after: int) -> Iterator[sqlite3.Row]:
        while chunk := self._all(sql, after, _CHUNK):
            yield from chunk
            after = chunk[-1]["seq"]

    def _facts(self, after: int) -> Iterator[views.Fact]:
        parse, read = datetime.fromisoformat, json.loads
        for row in self._stream(_FACTS, after):
            _, uuid, utc, zone, caregiver, kind, slots, procedure, target, text = row
            yield views.Fact(
                uuid=uuid,
                utc=parse(utc),
                zone=zone,
                child=self.child,
                caregiver=caregiver,
                kind=kind,
                slots=read(slots),
                procedure=procedure,
                target=target,
                text=text,
            )

    def _refuse_dangling(self, entry: Entry) -> None:
        """Refuse what points nowhere: it would be lost without a word."""
        if entry.kind in ("undo", "correct") and self._kind_of(entry.target) is None:
            raise TargetMissingError("entry to take back or correct")
        if entry.procedure is not None and self._kind_of(entry.procedure) != "open":
            raise TargetMissingError("procedure")

    def _kind_of(self, uuid: UUID | None) -> str | None:
        found = self._all("SELECT kind FROM rows WHERE uuid = ?", str(uuid))
        return found[0]["kind"] if found else None


def _refuse_naive(utc: datetime, zone: str) -> None:
    if utc.tzinfo is None:
        raise NotSavedError("the time has no zone")
    try:
        ZoneInfo(zone)
    except (LookupError, ValueError, OSError) as error:
        raise NotSavedError(f"there is no time zone called '{zone}'") from error
