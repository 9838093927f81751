from math import isnan
from uuid import UUID

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.baseline.make import at, procedure
from voicelog.baseline.columns import FIELDS, Columns, Procedures, numbers


def row_of(one) -> dict[str, float]:
    return dict(zip(FIELDS, numbers(one), strict=True))


def test_slots_become_numbers() -> None:
    row = row_of(
        procedure(
            at(2026, 1, 5, 6, 45),
            passes=(8.0, 11.5),
            colour="yellow",
            thickness="thick",
            odour="foul",
            saline_drops=3,
            depth_cm=6.5,
        )
    )
    assert row["hour"] == 6.75
    assert row["day"] == at(2026, 1, 5).toordinal()
    assert row["passes"] == 2  # counted from the timed ones
    assert row["pass_seconds"] == 11.5  # the longest
    assert (row["colour"], row["thickness"]) == (3, 3)
    assert (row["blood"], row["foul"], row["saline"]) == (0, 1, 1)
    assert isnan(row["spo2"])


@pytest.mark.parametrize(
    ("slots", "saline"),
    [({}, 0), ({"saline_drops": 0}, 0), ({"saline_ml": 0.5}, 1), ({"saline_drops": 2}, 1)],
)
def test_saline_not_spoken_of_was_not_used(slots, saline) -> None:
    assert row_of(procedure(at(2026, 1, 5), **slots))["saline"] == saline


@pytest.mark.parametrize("colour", ["red", "pink", "blood-tinged"])
def test_blood_is_no_step_of_the_colour_scale(colour) -> None:
    row = row_of(procedure(at(2026, 1, 5), colour=colour))
    assert row["blood"] == 1
    assert isnan(row["colour"])


def test_what_was_not_said_is_missing_not_zero() -> None:
    row = row_of(procedure(at(2026, 1, 5)))
    assert isnan(row["blood"])
    assert isnan(row["foul"])
    assert isnan(row["passes"])


@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 100), st.booleans()), max_size=60))
def test_columns_behave_like_a_sorted_dictionary(steps) -> None:
    columns, model = Columns(2), {}
    for key, start, keep in steps:
        uuid = UUID(int=key)
        if keep:
            columns.put(uuid, [float(start), float(key)])
            model[uuid] = start
        else:
            assert columns.drop(uuid) == (uuid in model)
            model.pop(uuid, None)
    assert columns.size == len(model)
    assert columns.table[:, 0].tolist() == sorted(model.values())
    for uuid, start in model.items():
        assert columns.row(uuid).tolist() == [start, float(uuid.int)]


def test_columns_grow() -> None:
    rows = Procedures()
    for minute in range(700):
        rows.put(UUID(int=minute), numbers(procedure(at(2026, 1, 5, minute // 60, minute % 60))))
    assert rows.size == 700
    assert np.all(np.diff(rows.column("start")) == 60)
