"""Small makers of journal views for the tests."""

from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from voicelog.entries import Event, Procedure

CHICAGO = ZoneInfo("America/Chicago")
_count = iter(range(1, 10_000_000))


def at(year: int, month: int, day: int, hour: int = 0, minute: int = 0) -> datetime:
    return datetime(year, month, day, hour, minute, tzinfo=CHICAGO)


def procedure(
    started: datetime, *, passes: tuple[float, ...] = (), uuid=None, **slots
) -> Procedure:
    return Procedure(
        uuid=uuid or UUID(int=next(_count)),
        child="Robin",
        caregiver="Ada",
        started=started,
        ended=started + timedelta(minutes=3),
        slots=slots,
        passes=passes,
        complete=True,
    )


def event(when: datetime, *, uuid=None, **slots) -> Event:
    return Event(
        uuid=uuid or UUID(int=next(_count)),
        child="Robin",
        caregiver="Ada",
        at=when,
        kind="event" if "action" in slots else "values",
        slots=slots,
    )


def steady(first: datetime, days: int, hours=(1, 6, 8, 10, 12, 14, 16, 18, 20, 22), **slots):
    """Procedures at the same local hours each day."""
    found = []
    for day in range(days):
        on = (first + timedelta(days=day)).date()
        for hour in hours:
            started = datetime(on.year, on.month, on.day, hour, 30, tzinfo=first.tzinfo)
            found.append(procedure(started, **slots))
    return found
