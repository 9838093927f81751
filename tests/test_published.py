"""The published limits: every choice among disagreeing sources is stated and true."""

from pathlib import Path

import pytest
from pydantic import ValidationError

from voicelog.published import Default, PublishedRow, Side, load_published

PUBLISHED = load_published()
GROUPS = {"neonate", "infant", "child", "adolescent"}


def stricter(row: PublishedRow, chosen: PublishedRow, side: Side) -> bool:
    """Tell whether ``row`` would warn about a value that ``chosen`` lets pass."""
    one, other = getattr(row, side), getattr(chosen, side)
    if one is None:
        return False
    if one == other:
        return not getattr(row, f"{side}_inclusive") and getattr(chosen, f"{side}_inclusive")
    return bool(one < other if side == "high" else one > other)


def test_row_names_are_unique() -> None:
    names = [row.id for row in PUBLISHED.rows]
    assert len(names) == len(set(names))


def test_a_name_that_is_not_there() -> None:
    with pytest.raises(KeyError):
        PUBLISHED.row("nothing")


@pytest.mark.parametrize("row", PUBLISHED.rows, ids=lambda row: row.id)
def test_each_row_says_something_from_a_known_source(row: PublishedRow) -> None:
    assert row.source in PUBLISHED.sources
    assert any(value is not None for value in (row.low, row.high, row.typical))
    values = [value for value in (row.low, row.typical, row.high) if value is not None]
    assert values == sorted(values)
    assert row.ages or row.population == "adult"
    # Only common practice has no source, and nothing else may claim to be it.
    assert (row.mark == "P") == (row.source == "practice")


@pytest.mark.parametrize("default", PUBLISHED.defaults, ids=lambda d: f"{d.slot}-{d.side}")
def test_each_default_covers_every_age_and_says_why(default: Default) -> None:
    assert set(default.row) == GROUPS
    assert len(default.reason.split()) >= 5
    for group, name in default.row.items():
        row = PUBLISHED.row(name)
        assert row.slot == default.slot
        assert group in row.ages
        assert getattr(row, default.side) is not None


@pytest.mark.parametrize("default", PUBLISHED.defaults, ids=lambda d: f"{d.slot}-{d.side}")
def test_each_default_owns_up_to_every_stricter_row(default: Default) -> None:
    found = {
        row.id
        for group, name in default.row.items()
        for row in PUBLISHED.rows
        if row.slot == default.slot
        and group in row.ages
        and stricter(row, PUBLISHED.row(name), default.side)
    }
    assert found == set(default.looser_than)


# Values as printed in the sources, typed here a second time from the reference.
@pytest.mark.parametrize(
    ("name", "low", "high", "high_inclusive"),
    [
        ("pressure-aarc-2022", None, 120, False),  # AARC 2022: below 120
        ("pressure-ireton-neonate", 60, 80, True),  # Ireton 2007
        ("pressure-ireton-child", 80, 100, True),  # Ireton 2007
        ("pressure-ireton-adolescent", 80, 120, True),  # Ireton 2007
        ("pressure-ntsp-infant", 80, 100, True),  # NTSP
        ("pressure-practice-infant", 80, 100, True),  # common practice, no source
        ("pressure-practice-child", 100, 120, True),  # common practice, no source
        ("pass-aarc-2010", None, 15, False),  # AARC 2010: under 15 s
        ("pass-aarc-2022", None, 15, True),  # AARC 2022: no longer than 15 s
        ("pass-practice", None, 10, False),  # common practice, no source
        ("passes-practice", None, 3, True),  # common practice, no source
        ("saline-practice", 3, 5, True),  # common practice, no source
        ("spo2-nice", 95, None, True),  # NICE amber: 95 or less
        ("heart-pals-2-10y-awake", 60, 140, True),  # PALS 2006
        ("resp-pals-infant", 30, 60, True),  # PALS 2006
        ("fever-iowa", None, 38.3, False),  # University of Iowa: 101 F or more
        ("fever-quebec-mouth", None, 37.5, False),  # Quebec home care site
    ],
)
def test_values_as_published(
    name: str, low: float | None, high: float | None, high_inclusive: bool
) -> None:
    row = PUBLISHED.row(name)
    assert (row.low, row.high, row.high_inclusive) == (low, high, high_inclusive)


def test_ninety_five_itself_is_amber() -> None:
    assert not PUBLISHED.row("spo2-nice").low_inclusive


def test_a_slip_in_the_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "sources.yaml").write_text("{}", encoding="utf-8")
    (tmp_path / "limits.yaml").write_text("rows: [{id: x}]\ndefaults: []", encoding="utf-8")
    with pytest.raises(ValidationError):
        load_published(tmp_path)
