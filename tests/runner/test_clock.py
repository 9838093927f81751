"""Seconds that only go forward, and the home's wall clock."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
import time_machine

from voicelog.runner.clock import PlayedClock, SystemClock

CHICAGO = ZoneInfo("America/Chicago")


def test_the_homes_time_and_not_the_machines() -> None:
    """Chicago is five hours behind UTC in summer (IANA time zone database)."""
    with time_machine.travel(datetime(2026, 7, 1, 3, 30, tzinfo=UTC), tick=False):
        now = SystemClock(CHICAGO).now()
    assert (now.day, now.hour, now.minute) == (30, 22, 30)
    assert now.tzinfo is CHICAGO


def test_setting_the_machines_clock_back_moves_no_seconds() -> None:
    clock = SystemClock(CHICAGO)
    with time_machine.travel(datetime(2026, 7, 1, tzinfo=UTC)) as machine:
        before = clock.at()
        machine.move_to(datetime(2026, 6, 30, tzinfo=UTC))
        now = clock.now()
    assert now.day == 29
    assert clock.at() - before < 3600


@pytest.mark.parametrize(
    ("start", "hours", "shown"),
    [
        (datetime(2026, 3, 8, 1, 30, tzinfo=CHICAGO), 1, "03:30 -0500"),  # 02:30 is not there
        (datetime(2026, 11, 1, 0, 30, tzinfo=CHICAGO), 1, "01:30 -0500"),
        (datetime(2026, 11, 1, 0, 30, tzinfo=CHICAGO), 2, "01:30 -0600"),  # the same hour again
    ],
)
def test_a_played_night_goes_over_a_clock_change(start: datetime, hours: int, shown: str) -> None:
    """In the USA clocks change on 8 March and 1 November 2026 (IANA time zone database)."""
    clock = PlayedClock(start)
    clock.seconds = hours * 3600.0
    assert f"{clock.now():%H:%M %z}" == shown
    assert clock.at() == hours * 3600


def test_a_played_clock_moves_only_when_it_is_moved() -> None:
    clock = PlayedClock(datetime(2026, 3, 7, 19, 40, tzinfo=CHICAGO))
    assert (clock.at(), clock.now()) == (0.0, clock.start)
