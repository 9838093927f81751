"""Why the journal could not be used.  After any of these, nothing was saved.

``JournalError`` catches them all; each message is one plain sentence with the fix.
"""

from voicelog.errors import VoicelogError


class JournalError(VoicelogError, OSError):
    """The base of every journal failure."""


class JournalMissingError(JournalError, FileNotFoundError):
    """There is no journal to read."""

    def __init__(self, place: str) -> None:
        super().__init__(f"There is no journal at {place} yet: log something first.")


class JournalFullError(JournalError):
    """The disk, or a limit set on the file, is full."""

    def __init__(self, place: str) -> None:
        super().__init__(f"The disk is full, so {place} cannot grow: free some space.")


class JournalDiskError(JournalError):
    """The disk itself did not read or write."""

    def __init__(self, place: str, what: str) -> None:
        super().__init__(
            f"The disk of {place} did not do its work ({what}): free some space on it, check "
            "the disk for faults, and try again."
        )


class JournalReadOnlyError(JournalError, PermissionError):
    """The file or its folder cannot be written."""

    def __init__(self, place: str) -> None:
        super().__init__(f"The journal {place} cannot be written: check the folder and its rights.")


class JournalBusyError(JournalError, BlockingIOError):
    """Someone else is writing the journal."""

    def __init__(self, place: str) -> None:
        super().__init__(f"Another program is writing {place}: close it and try again.")


class JournalDamagedError(JournalError):
    """The file is not a whole journal; it was left as it is."""

    def __init__(self, place: str, why: str) -> None:
        super().__init__(
            f"The journal {place} is damaged ({why}) and was left as it is: "
            "restore a backup, or move it away to start a new one."
        )


class JournalTooNewError(JournalError):
    """A newer version of the program wrote the file."""

    def __init__(self, place: str) -> None:
        super().__init__(f"A newer voicelog wrote {place}: install the newest version to open it.")


class WrongChildError(JournalError):
    """The journal belongs to another child."""

    def __init__(self, place: str, owner: str, asked: str) -> None:
        super().__init__(
            f"The journal {place} belongs to {owner}, not to {asked}: use one file for each child."
        )


class UnsafeDiskError(JournalError):
    """The disk does not support the way the journal is kept safe."""

    def __init__(self, place: str, what: str) -> None:
        super().__init__(
            f"The disk of {place} cannot keep a journal safe ({what}): "
            "put it on a disk inside this computer."
        )


class NotSavedError(JournalError):
    """The entry was not stored, for a reason that has no class of its own."""

    def __init__(self, why: str) -> None:
        super().__init__(f"Not saved: {why}. Please say it again.")


class TargetMissingError(JournalError, LookupError):
    """An entry points to a row that is not in the journal."""

    def __init__(self, what: str) -> None:
        super().__init__(f"Not saved: the journal has no such {what}. Please say it again.")


class BackupExistsError(JournalError, FileExistsError):
    """A backup or restore would write over a file."""

    def __init__(self, place: str) -> None:
        super().__init__(f"{place} is there already: choose another name.")
