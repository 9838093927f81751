"""Kill the process at every point: nothing that was acknowledged is ever lost.

A child process appends and acknowledges each row through a pipe, as the spoken
"Saved." does.  It is killed (SIGKILL) at a named point, or at the N-th write or
sync for every N, with the write left whole or torn in half.
"""

import os
import signal
import sys
import warnings
from collections.abc import Callable
from pathlib import Path

import pytest

from voicelog.entries import Entry, Heard, Row
from voicelog.journal import Journal

from .conftest import START
from .disk import OK, available, faulty_disk

pytestmark = pytest.mark.skipif(
    sys.platform == "win32" or not available(), reason="needs fork and a shared SQLite library"
)

ROWS = 2
Acknowledge = Callable[[str], object]
Plan = Callable[[Journal, Acknowledge], None]


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def note(journal: Journal, text: str) -> Row:
    entry = Entry(kind="note", text=text)
    return journal.append(entry, Heard(text=text), "Rosa", START, "UTC", "g1")


def append_then_acknowledge(journal: Journal, acknowledge: Acknowledge) -> None:
    for n in range(ROWS):
        note(journal, f"note {n}")
        acknowledge(f"note {n}")


def acknowledge_before_commit(journal: Journal, acknowledge: Acknowledge) -> None:
    """The planted bug: "Saved." is said when the commit begins, not when it is done."""
    for n in range(ROWS):
        said: Acknowledge = lambda sql, n=n: (  # type: ignore[misc]  # noqa: E731
            acknowledge(f"note {n}") if sql.startswith("COMMIT") else None
        )
        journal._db.conn.set_trace_callback(said)
        note(journal, f"note {n}")
        journal._db.conn.set_trace_callback(None)


def run_child(place: Path, plan: Plan, arm: Callable[[], None]) -> tuple[bool, list[str]]:
    """Run a plan in a child; return whether it was killed, and what it acknowledged."""
    reader, writer = os.pipe()
    with warnings.catch_warnings():
        # Number libraries keep idle threads; the child uses none of them.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        status = 1
        try:
            arm()
            with Journal.open(place, child="Juniper") as journal:
                plan(journal, lambda text: os.write(writer, f"{text}\n".encode()))
            status = 0
        finally:
            os._exit(status)
    os.close(writer)
    with os.fdopen(reader) as pipe:
        acknowledged = pipe.read().split("\n")[:-1]
    _, ended = os.waitpid(child, 0)
    assert ended in (0, signal.SIGKILL), "the child failed in another way"
    return ended == signal.SIGKILL, acknowledged


def check(place: Path, acknowledged: list[str]) -> bool:
    """Open what is left; return whether every acknowledged row is there, once, in order."""
    with Journal.open(place, child="Juniper") as journal:
        kept = [row.entry.text for row in journal.rows()]
        assert journal.verify().ok
        assert [row.seq for row in journal.rows()] == list(range(1, len(kept) + 1))
        assert kept == [f"note {n}" for n in range(len(kept))]  # never half a row, never twice
        assert len(kept) <= len(acknowledged) + 1
        note(journal, "the next start works")
    return kept[: len(acknowledged)] == acknowledged


def at_nth_touch(nth: int, torn: bool) -> Callable[[], None]:
    """Die at the n-th write or sync, counted from the first file that is opened."""

    def arm() -> None:
        left = nth

        def count() -> bool:
            nonlocal left
            left -= 1
            return left == 0

        context = faulty_disk()
        faults = context.__enter__()
        dying = False

        def before_write(_: Path, size: int) -> tuple[int, int]:
            nonlocal dying
            dying = count()
            if dying and not torn:
                die()
            return (size // 2 if dying else size), OK

        def before_sync(_: Path) -> int:
            if count():
                die()
            return OK

        faults.before_write = before_write
        faults.after_write = lambda _: die() if dying else None
        faults.before_sync = before_sync
        arm.kept = context  # type: ignore[attr-defined]

    return arm


def kill_at_every_touch(folder: Path, plan: Plan, torn: bool) -> tuple[int, int]:
    """Return how many kills were made, and how many lost an acknowledged row."""
    losses = 0
    for nth in range(1, 1000):
        place = folder / str(nth) / "juniper.db"
        killed, acknowledged = run_child(place, plan, at_nth_touch(nth, torn))
        losses += not check(place, acknowledged)
        if not killed:
            assert len(acknowledged) == ROWS
            return nth - 1, losses
    raise AssertionError("the child never finished")


@pytest.mark.parametrize("torn", [False, True], ids=["whole", "torn"])
def test_no_kill_loses_what_was_acknowledged(tmp_path: Path, torn: bool) -> None:
    kills, losses = kill_at_every_touch(tmp_path, append_then_acknowledge, torn)
    assert kills >= 10 * ROWS
    assert losses == 0


def test_the_harness_catches_saying_saved_too_early(tmp_path: Path) -> None:
    _, losses = kill_at_every_touch(tmp_path, acknowledge_before_commit, torn=False)
    assert losses >= ROWS


@pytest.mark.parametrize(
    ("point", "kept"),
    [
        ("BEGIN", 1),  # before the transaction
        ("SELECT seq, digest", 1),  # after it began
        ("INSERT INTO", 1),  # before the row
        ("COMMIT", 1),  # after the row, before the commit
        ("committed", 2),  # after the commit, before the word
        ("acknowledged", 2),  # after the word
    ],
)
def test_killed_at_a_named_point_of_the_second_row(tmp_path: Path, point: str, kept: int) -> None:
    place = tmp_path / "juniper.db"

    def plan(journal: Journal, acknowledge: Acknowledge) -> None:
        note(journal, "note 0")
        acknowledge("note 0")
        journal._db.conn.set_trace_callback(
            lambda sql: die() if sql.lstrip().startswith(point) else None
        )
        note(journal, "note 1")
        if point == "committed":
            die()
        acknowledge("note 1")
        die()

    killed, acknowledged = run_child(place, plan, lambda: None)
    assert killed
    assert len(acknowledged) == (2 if point == "acknowledged" else 1)
    with Journal.open(place, child="Juniper", read_only=True) as journal:
        assert len(list(journal.rows())) == kept
    assert check(place, acknowledged)
