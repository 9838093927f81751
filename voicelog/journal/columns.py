"""One row as the file holds it, and back.

Every column is text or a whole number, so a row reads back as it was written:
times in UTC to the microsecond (so that text order is time order), slots and
what was heard as JSON.
"""

import json
from collections.abc import Sequence
from datetime import UTC, datetime
from uuid import UUID

from voicelog.entries import Entry, Heard, Row, Scored
from voicelog.journal.chain import Stored, canonical


def instant(utc: datetime) -> str:
    """Return an aware time as UTC text of fixed width."""
    return utc.astimezone(UTC).isoformat(timespec="microseconds")


def to_stored(row: Row, prev: str) -> dict[str, str | int | None]:
    """Return every column of a row but its digest.

    Raises:
        ValueError: a number is not finite, or a text is not valid Unicode.
    """
    entry = row.entry
    return {
        "seq": row.seq,
        "uuid": str(row.uuid),
        "utc": instant(row.utc),
        "zone": row.zone,
        "caregiver": row.caregiver,
        "kind": entry.kind,
        "procedure": str(entry.procedure) if entry.procedure else None,
        "target": str(entry.target) if entry.target else None,
        "slots": canonical(entry.slots),
        "text": entry.text,
        "heard": canonical(_heard(row.heard)),
        "grammar_version": row.grammar_version,
        "prev": prev,
    }


def to_row(stored: Stored, child: str) -> Row:
    """Return the row that ``stored`` holds."""
    words, confidence, hypotheses = json.loads(str(stored["heard"]))
    return Row(
        uuid=UUID(str(stored["uuid"])),
        seq=int(stored["seq"] or 0),
        utc=datetime.fromisoformat(str(stored["utc"])),
        zone=str(stored["zone"]),
        child=child,
        caregiver=str(stored["caregiver"]),
        entry=Entry.model_validate(
            {
                "kind": stored["kind"],
                "slots": json.loads(str(stored["slots"])),
                "procedure": stored["procedure"],
                "target": stored["target"],
                "text": stored["text"],
            }
        ),
        heard=Heard(
            text=words,
            confidence=confidence,
            hypotheses=tuple(Scored(text=text, score=score) for text, score in hypotheses),
        ),
        grammar_version=str(stored["grammar_version"]),
    )


def _heard(heard: Heard) -> Sequence[object]:
    guesses = [[guess.text, guess.score] for guess in heard.hypotheses]
    return [heard.text, heard.confidence, guesses]
