"""The append-only record of what was said, and the views over it."""

from voicelog.journal.backup import restore
from voicelog.journal.chain import Head, Verdict
from voicelog.journal.errors import (
    BackupExistsError,
    JournalBusyError,
    JournalDamagedError,
    JournalDiskError,
    JournalError,
    JournalFullError,
    JournalMissingError,
    JournalReadOnlyError,
    JournalTooNewError,
    NotSavedError,
    TargetMissingError,
    UnsafeDiskError,
    WrongChildError,
)
from voicelog.journal.store import Journal

__all__ = [
    "BackupExistsError",
    "Head",
    "Journal",
    "JournalBusyError",
    "JournalDamagedError",
    "JournalDiskError",
    "JournalError",
    "JournalFullError",
    "JournalMissingError",
    "JournalReadOnlyError",
    "JournalTooNewError",
    "NotSavedError",
    "TargetMissingError",
    "UnsafeDiskError",
    "Verdict",
    "WrongChildError",
    "restore",
]
