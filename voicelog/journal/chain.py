"""The hash chain: each row carries a digest of itself and of the row before.

Whoever owns the file can still rewrite it, so the chain is evidence, not a lock.
Rows cut off at the end leave a valid chain; only a ``Head`` noted elsewhere, as
in a printed handover, shows that.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping

from voicelog.entries import Frozen

Stored = Mapping[str, str | int | None]


class Head(Frozen):
    """The last row: its number (0 when there is none) and its digest in hex."""

    seq: int
    digest: str


class Verdict(Frozen):
    """What a check of the whole chain found.

    Args:
        rows: how many rows hold, counted from the first.
        head: the last row that holds.
        broken: number of the first row that does not, or None.
        why: what is wrong with it, in plain words; empty when all is well.
    """

    rows: int
    head: Head
    broken: int | None = None
    why: str = ""

    @property
    def ok(self) -> bool:
        """Tell whether every row holds."""
        return self.broken is None


def canonical(value: object) -> str:
    """Return compact JSON with sorted keys.

    Raises:
        ValueError: a number in it is not finite.
    """
    return json.dumps(
        value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def start(journal: str, child: str) -> str:
    """Return the digest the first row follows; it ties the chain to its journal."""
    return _sha256(canonical({"child": child, "journal": journal}))


def link(stored: Stored) -> str:
    """Return the digest of a stored row, from every column of it but the digest."""
    return _sha256(canonical({key: value for key, value in stored.items() if key != "digest"}))


def examine(first: str, rows: Iterable[Stored], known: Head | None = None) -> Verdict:
    """Check rows in order against the chain, and against a ``Head`` noted earlier."""
    head = Head(seq=0, digest=first)
    for stored in rows:
        why = _fault(stored, head, known)
        if why:
            return Verdict(rows=head.seq, head=head, broken=head.seq + 1, why=why)
        head = Head(seq=head.seq + 1, digest=str(stored["digest"]))
    if known is not None and known.seq > head.seq:
        why = "the rows after it were cut off"
        return Verdict(rows=head.seq, head=head, broken=head.seq + 1, why=why)
    return Verdict(rows=head.seq, head=head)


def _fault(stored: Stored, head: Head, known: Head | None) -> str:
    if stored["seq"] != head.seq + 1:
        return "a row is missing"
    if stored["prev"] != head.digest:
        return "it does not follow the row before"
    if stored["digest"] != link(stored):
        return "it was changed after it was written"
    if known is not None and known.seq == stored["seq"] and known.digest != stored["digest"]:
        return "it is not the row that was noted"
    return ""


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
