"""The chain names the first row that does not hold."""

import hashlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.journal.chain import Head, canonical, examine, link, start

FIRST = start("j", "Juniper")
Line = dict[str, str | int | None]


def chain(count: int) -> list[Line]:
    rows: list[Line] = []
    prev = FIRST
    for seq in range(1, count + 1):
        row: Line = {"seq": seq, "text": f"row {seq}", "target": None, "prev": prev}
        row["digest"] = prev = link(row)
        rows.append(row)
    return rows


def test_a_whole_chain_holds() -> None:
    rows = chain(5)
    verdict = examine(FIRST, rows)
    assert verdict.ok
    assert (verdict.rows, verdict.head.digest) == (5, rows[-1]["digest"])
    assert examine(FIRST, []).head == Head(seq=0, digest=FIRST)


def test_the_digest_is_sha256_of_canonical_json() -> None:
    # FIPS 180-4 through hashlib; key order and spaces fixed here by hand.
    row: Line = {"seq": 1, "prev": "p", "text": "caf\u00e9", "target": None}
    by_hand = '{"prev":"p","seq":1,"target":null,"text":"caf\u00e9"}'
    assert canonical(row) == by_hand
    assert link({**row, "digest": "left out"}) == hashlib.sha256(by_hand.encode()).hexdigest()


def test_another_journal_or_child_starts_elsewhere() -> None:
    assert len({start("j", "Juniper"), start("k", "Juniper"), start("j", "Basil")}) == 3
    assert examine(start("j", "Basil"), chain(2)).broken == 1


@given(st.data())
def test_any_change_is_found_at_its_row(data: st.DataObject) -> None:
    rows = chain(6)
    at = data.draw(st.integers(0, 5))
    key = data.draw(st.sampled_from(["text", "target", "seq", "prev", "digest"]))
    rows[at][key] = "changed" if key != "seq" else 99
    verdict = examine(FIRST, rows)
    # A changed digest in the last row shows only in that row itself.
    assert verdict.broken == at + 1
    assert verdict.rows == at
    assert verdict.why


@given(st.integers(0, 4))
def test_a_missing_row_is_found(at: int) -> None:
    rows = chain(6)
    del rows[at]
    verdict = examine(FIRST, rows)
    assert (verdict.broken, verdict.why) == (at + 1, "a row is missing")


@given(st.permutations(range(5)))
def test_rows_in_another_order_are_found(order: list[int]) -> None:
    rows = chain(5)
    assert examine(FIRST, [rows[i] for i in order]).ok is (order == sorted(order))


def test_a_cut_tail_shows_only_against_a_noted_head() -> None:
    rows = chain(5)
    noted = Head(seq=5, digest=str(rows[4]["digest"]))
    assert examine(FIRST, rows[:3]).ok
    verdict = examine(FIRST, rows[:3], noted)
    assert (verdict.broken, verdict.why) == (4, "the rows after it were cut off")
    assert examine(FIRST, rows, noted).ok
    assert examine(FIRST, rows, Head(seq=2, digest=str(rows[1]["digest"]))).ok


def test_a_rewritten_chain_shows_only_against_a_noted_head() -> None:
    noted = Head(seq=3, digest=str(chain(3)[2]["digest"]))
    forged = chain(1)
    for seq in (2, 3, 4):
        row: Line = {"seq": seq, "text": "other", "prev": forged[-1]["digest"]}
        forged.append({**row, "digest": link(row)})
    assert examine(FIRST, forged).ok
    assert examine(FIRST, forged, noted).broken == 3


def test_numbers_that_are_none_have_no_canonical_form() -> None:
    with pytest.raises(ValueError, match="JSON"):
        canonical({"x": float("nan")})


@given(st.dictionaries(st.text(), st.one_of(st.integers(), st.text(), st.floats(-1e9, 1e9))))
def test_canonical_form_reads_back_and_ignores_order(value: dict[str, object]) -> None:
    assert json.loads(canonical(value)) == value
    assert canonical(dict(reversed(value.items()))) == canonical(value)
