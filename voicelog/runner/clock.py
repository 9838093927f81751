"""The time, as the dialogue wants it: seconds that only go forward, and local wall time."""

import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo


class Clock(Protocol):
    """Where a runner takes the time from."""

    def at(self) -> float:
        """Return seconds on a clock that only goes forward."""
        ...

    def now(self) -> datetime:
        """Return the aware local time."""
        ...


@dataclass(frozen=True, slots=True)
class SystemClock:
    """The machine's clock in the home's zone."""

    zone: ZoneInfo

    def at(self) -> float:
        """Return the monotonic clock."""
        return time.monotonic()

    def now(self) -> datetime:
        """Return the local time."""
        return datetime.now(UTC).astimezone(self.zone)


@dataclass(slots=True)
class PlayedClock:
    """A clock that a recording moves on: time in it is time in the file."""

    start: datetime
    seconds: float = 0.0

    def at(self) -> float:
        """Return seconds since the recording began."""
        return self.seconds

    def now(self) -> datetime:
        """Return the local time it would be."""
        later = self.start.astimezone(UTC) + timedelta(seconds=self.seconds)
        return later.astimezone(self.start.tzinfo)
