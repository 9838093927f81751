"""What stands in for a journal that could not be opened: it takes nothing, and says why."""

from typing import NoReturn

from voicelog.journal.errors import JournalError


class ClosedJournal:
    """Refuses every entry with the reason that there is no journal."""

    def __init__(self, why: JournalError) -> None:
        self.why = why

    def append(self, *_: object) -> NoReturn:
        """Refuse.

        Raises:
            JournalError: always, the one that opening failed with.
        """
        raise self.why
