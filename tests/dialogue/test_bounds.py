from dataclasses import replace

import pytest

from tests.dialogue.bedside import ENGLISH, setting
from voicelog.dialogue.bounds import breach_sentence, limit_phrase, limits_told
from voicelog.dialogue.phrasing import Phrasing
from voicelog.limits import Bound, Breach, Limit

SAY = Phrasing(ENGLISH)


def breach(**changes: object) -> Breach:
    fields: dict[str, object] = {
        "slot": "pressure_mmhg",
        "value": 130,
        "unit": "mmHg",
        "side": "high",
        "limit": 100,
        "inclusive": True,
        "whose": "plan",
    }
    return Breach.model_validate({**fields, **changes})


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, "Pressure 130 is above the plan's 100."),
        ({"side": "low", "value": 60, "limit": 80}, "Pressure 60 is below the plan's 80."),
        (
            {"whose": "published", "source": "common practice"},
            "Pressure 130 is above 100, common practice, no plan limit set.",
        ),
        # AARC 2022 says below 120, so 120 itself is too much.
        (
            {
                "value": 120,
                "limit": 120,
                "inclusive": False,
                "whose": "published",
                "source": "the A A R C guideline of 2022",
            },
            "Pressure 120 is not under 120, A A R C guideline, no plan limit set.",
        ),
        (
            {"slot": "spo2", "value": 92, "limit": 92, "inclusive": False, "side": "low"},
            "Sats 92 are not over the plan's 92.",
        ),
        (
            {"side": "low", "value": 3, "limit": 4, "whose": "published", "source": "a new book"},
            "Pressure 3 is below 4, a new book, no plan limit set.",
        ),
    ],
)
def test_a_breach_names_value_limit_and_whose(changes: dict[str, object], sentence: str) -> None:
    assert breach_sentence(SAY, breach(**changes)) == sentence


def limit(low: Bound | None, high: Bound | None, slot: str = "pressure_mmhg") -> Limit:
    return Limit(slot=slot, unit="", low=low, high=high)


def own(value: float, inclusive: bool = True) -> Bound:
    return Bound(value=value, inclusive=inclusive)


def other(value: float) -> Bound:
    return Bound(value=value, whose="published", source="common practice")


@pytest.mark.parametrize(
    ("given", "phrase"),
    [
        (limit(own(80), own(100)), "pressure eighty to one hundred"),
        (limit(None, own(100)), "pressure up to one hundred"),
        (limit(None, own(100, inclusive=False)), "pressure under one hundred"),
        (limit(own(80), None), "pressure at least eighty"),
        (limit(own(80, inclusive=False), None), "pressure over eighty"),
        (limit(other(80), other(100)), "pressure eighty to one hundred, common practice"),
        (limit(own(70), other(100)), "pressure at least seventy"),
        (limit(other(80), own(90)), "pressure up to ninety"),
        (limit(None, own(1), "pass_seconds"), "passes under one second"),
        (limit(own(90), own(95), "spo2"), "sats ninety to ninety five"),
    ],
)
def test_a_limit_in_words(given: Limit, phrase: str) -> None:
    assert limit_phrase(SAY, given) == phrase


def test_no_limits_at_all() -> None:
    bare = setting({"child": {"name": "Juniper", "age_group": "infant"}})
    assert limits_told(replace(bare, limits={}), night=False) == ""
