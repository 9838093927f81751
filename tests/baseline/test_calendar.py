from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from tests.baseline.make import CHICAGO, at
from voicelog.baseline.calendar import (
    HOUR,
    add_days,
    at_local,
    day_start,
    hour_of,
    hour_table,
    hours_between,
    ordinal_of,
)

SPRING, AUTUMN = date(2026, 3, 8).toordinal(), date(2026, 11, 1).toordinal()


@pytest.mark.parametrize(("day", "hours"), [(SPRING, 23), (AUTUMN, 25), (SPRING + 1, 24)])
def test_days_have_their_real_length(day, hours) -> None:
    assert day_start(day + 1, CHICAGO) - day_start(day, CHICAGO) == hours * HOUR


def test_the_skipped_hour_is_empty_and_the_repeated_one_comes_twice() -> None:
    spring = hour_table(SPRING - 1, SPRING + 1, CHICAGO)
    assert spring[0].tolist() == [1.0] * 24
    assert spring[1, 2] == 0
    assert spring[1].sum() == 23
    autumn = hour_table(AUTUMN, AUTUMN, CHICAGO)
    assert autumn[0, 1] == 2
    assert autumn[0].sum() == 25


def test_pieces_of_a_stretch_add_up() -> None:
    start, end = at(2026, 3, 7, 22, 15).timestamp(), at(2026, 3, 8, 4, 45).timestamp()
    pieces = hours_between(start, end, CHICAGO)
    assert sum(length for _, _, length in pieces) == pytest.approx((end - start) / HOUR)
    assert [hour for _, hour, _ in pieces] == [22, 23, 0, 1, 3, 4]
    assert pieces[0][2] == pytest.approx(0.75)


def test_a_day_without_midnight_begins_with_its_first_moment() -> None:
    """In Santiago the clocks go from 24:00 to 1:00."""
    zone = ZoneInfo("America/Santiago")
    day = date(2026, 9, 6).toordinal()
    assert datetime.fromtimestamp(day_start(day, zone), zone).hour == 1
    assert day_start(day + 1, zone) - day_start(day, zone) == 23 * HOUR


def test_days_later_is_the_same_time_on_the_clock() -> None:
    later = add_days(at(2026, 3, 7, 10, 30), 7, CHICAGO)
    assert (later.hour, later.minute) == (10, 30)
    assert later.astimezone(UTC) - at(2026, 3, 7, 10, 30).astimezone(UTC) != 7 * (
        at(2026, 3, 6) - at(2026, 3, 5)
    )


def test_local_times_to_utc_and_back() -> None:
    assert at_local(SPRING, time(10, 0), CHICAGO) == datetime(2026, 3, 8, 15, 0, tzinfo=UTC)
    assert at_local(SPRING - 1, time(10, 0), CHICAGO) == datetime(2026, 3, 7, 16, 0, tzinfo=UTC)
    # 2:30 does not exist on that day: an hour later.
    assert at_local(SPRING, time(2, 30), CHICAGO).astimezone(CHICAGO).hour == 3
    moment = at(2026, 3, 8, 10, 30).timestamp()
    assert ordinal_of(moment, CHICAGO) == SPRING
    assert hour_of(moment, CHICAGO) == 10.5
