import pytest

from voicelog.journal.closed import ClosedJournal
from voicelog.journal.errors import JournalFullError


def test_it_refuses_with_the_reason_that_it_is_closed() -> None:
    journal = ClosedJournal(JournalFullError("the journal"))
    with pytest.raises(JournalFullError, match="free some space"):
        journal.append("anything")
