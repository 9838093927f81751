"""The day as a list of plain lines: when, what, who."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from voicelog.dialogue.phrasing import Phrasing
from voicelog.entries import Event, Procedure


@dataclass(frozen=True, slots=True)
class Line:
    """One line: ``at`` is local, ``what`` is a sentence without its end."""

    at: datetime
    what: str
    who: str


def midnight(now: datetime, zone: ZoneInfo, days: int = 1) -> datetime:
    """Return the local midnight at which the last ``days`` days began, today included."""
    day = now.astimezone(zone).date() - timedelta(days=days - 1)
    return datetime(day.year, day.month, day.day, tzinfo=zone)


def lines(
    procedures: Iterable[Procedure], events: Iterable[Event], phrasing: Phrasing, zone: ZoneInfo
) -> list[Line]:
    """Return everything in the order in which it happened."""
    found = [_of_procedure(one, phrasing, zone) for one in procedures]
    found += [_of_event(one, phrasing, zone) for one in events]
    return sorted(found, key=lambda line: line.at)


def _of_procedure(procedure: Procedure, phrasing: Phrasing, zone: ZoneInfo) -> Line:
    said = phrasing.listing(procedure.slots)
    parts = ["suction", said]
    if procedure.passes:
        parts.append(" + ".join(f"{seconds:g} s" for seconds in procedure.passes))
    if not procedure.complete:
        parts.append("not finished")
    what = ": ".join(part for part in parts[:2] if part)
    more = ", ".join(parts[2:])
    return Line(
        procedure.started.astimezone(zone),
        f"{what} ({more})" if more else what,
        procedure.caregiver,
    )


def _of_event(event: Event, phrasing: Phrasing, zone: ZoneInfo) -> Line:
    slots = dict(event.slots)
    action = slots.pop("action", None)
    parts = [phrasing.action(str(action))] if action else []
    if slots:
        parts.append(phrasing.listing(slots))
    if event.text:
        parts.append(event.text)
    return Line(event.at.astimezone(zone), ": ".join(parts) or event.kind, event.caregiver)
