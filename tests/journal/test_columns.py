"""A row reads back exactly as it was written."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.entries import Entry, Heard, Row, Scored
from voicelog.journal.columns import instant, to_row, to_stored

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
NUMBER = st.one_of(st.integers(-(10**6), 10**6), st.floats(allow_nan=False, allow_infinity=False))
HEARD = st.builds(
    Heard,
    text=TEXT,
    confidence=st.floats(0, 1),
    hypotheses=st.lists(st.builds(Scored, text=TEXT, score=st.floats(-1e6, 0)), max_size=3).map(
        tuple
    ),
)
ENTRIES = st.builds(
    Entry,
    kind=st.sampled_from(["open", "values", "pass", "close", "undo", "correct", "note"]),
    slots=st.dictionaries(TEXT, st.one_of(NUMBER, TEXT), max_size=4),
    procedure=st.one_of(st.none(), st.uuids()),
    target=st.one_of(st.none(), st.uuids()),
    text=TEXT,
)
ROWS = st.builds(
    Row,
    uuid=st.uuids(),
    seq=st.integers(1, 2**62),
    utc=st.datetimes(min_value=datetime(1970, 1, 1)).map(lambda t: t.replace(tzinfo=UTC)),  # noqa: DTZ001
    zone=st.sampled_from(["UTC", "America/Chicago"]),
    child=st.just("Juniper"),
    caregiver=TEXT,
    entry=ENTRIES,
    heard=HEARD,
    grammar_version=TEXT,
)


@given(ROWS)
def test_there_and_back(row: Row) -> None:
    stored = to_stored(row, "prev")
    back = to_row({**stored, "digest": "d"}, "Juniper")
    assert back == row
    for slot, value in row.entry.slots.items():
        assert type(back.entry.slots[slot]) is type(value)  # 3 stays 3 and 3.0 stays 3.0
    assert to_stored(back, "prev") == stored


@given(st.datetimes(timezones=st.just(UTC)), st.datetimes(timezones=st.just(UTC)))
def test_text_order_is_time_order(one: datetime, other: datetime) -> None:
    assert (instant(one) < instant(other)) is (one < other)
    assert len(instant(one)) == len(instant(other))
    assert datetime.fromisoformat(instant(one)) == one


def test_any_zone_is_told_in_utc() -> None:
    there = timezone(timedelta(hours=-6))
    assert instant(datetime(2025, 3, 9, 2, 30, tzinfo=there)) == "2025-03-09T08:30:00.000000+00:00"


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_refused(number: float) -> None:
    row = Row(
        uuid="00000000-0000-4000-8000-000000000000",
        seq=1,
        utc=datetime(2025, 3, 9, tzinfo=UTC),
        zone="UTC",
        child="Juniper",
        caregiver="Rosa",
        entry=Entry(kind="values", slots={"spo2": number}),
        heard=Heard(),
        grammar_version="g",
    )
    with pytest.raises(ValueError, match="JSON"):
        to_stored(row, "prev")
