"""What a care plan accepts and what it calls impossible."""

from datetime import time

import pytest
from pydantic import ValidationError

from voicelog.careplan import CarePlan
from voicelog.careplan.sections import Caregiver

CHILD = {"name": "Juniper", "age_group": "infant"}


def plan(**sections: object) -> CarePlan:
    return CarePlan.model_validate({"child": CHILD, **sections})


def test_only_the_child_is_needed() -> None:
    made = plan()
    assert made.child.name == "Juniper"
    assert made.suction.pressure_mmhg_high is None
    assert made.settings.ask_missing
    assert made.settings.read_back
    assert made.settings.days_between_false_alarms == 200
    assert made.settings.learning_days == 14
    assert made.home.wake == time(7, 0)


@pytest.mark.parametrize("group", ["neonate", "infant", "child", "adolescent"])
def test_age_groups(group: str) -> None:
    assert plan(child={"name": "J", "age_group": group}).child.age_group == group


@pytest.mark.parametrize(
    ("section", "low", "high"),
    [
        ("suction", {"pressure_mmhg_low": 100}, {"pressure_mmhg_high": 80}),
        ("suction", {"pressure_mmhg_low": 100}, {"pressure_mmhg_high": 100}),
        ("suction", {"saline_drops_low": 5}, {"saline_drops_high": 3}),
        ("watch", {"heart_rate_low": 180}, {"heart_rate_high": 90}),
        ("watch", {"resp_rate_low": 50}, {"resp_rate_high": 20}),
    ],
)
def test_low_must_be_below_high(section: str, low: dict[str, int], high: dict[str, int]) -> None:
    assert plan(**{section: low})
    assert plan(**{section: high})
    with pytest.raises(ValidationError, match="must be smaller"):
        plan(**{section: {**low, **high}})


@pytest.mark.parametrize(
    ("section", "key", "good", "bad"),
    [
        # Bounds of what is possible at all: own judgement, no source.
        ("tube", "inner_diameter_mm", [2, 4.0, 10], [1.9, 10.1, 40]),
        ("tube", "length_mm", [20, 41], [4.1, 151]),
        ("catheter", "size_fr", [4, 8, 18], [3, 19, 8.5]),
        ("catheter", "depth_cm", [1, 6.5, 25], [0, 65]),
        ("catheter", "deeper_allowed_cm", [0, 0.5, 2], [-0.5, 5]),
        ("suction", "pressure_mmhg_high", [20, 120, 300], [-120, 12, 13.3, 301]),
        ("suction", "pass_seconds_high", [1, 10, 60], [0, 61]),
        ("watch", "spo2_low", [50, 92, 100], [0.92, 9, 101]),
        ("watch", "fever_c", [36, 38.0, 42], [100.4, 42.1, float("nan"), float("inf")]),
        ("settings", "days_between_false_alarms", [1, 200, 365], [0, -1, 366]),
        ("fluids", "target_ml", [50, 6000], [0.8, 49, 6001]),
        ("oxygen", "psi", [0, 2200], [-1, 4001]),
    ],
)
def test_impossible_numbers_are_refused(
    section: str, key: str, good: list[float], bad: list[float]
) -> None:
    for value in good:
        assert getattr(getattr(plan(**{section: {key: value}}), section), key) == value
    for value in bad:
        with pytest.raises(ValidationError):
            plan(**{section: {key: value}})


@pytest.mark.parametrize("value", ["80", True, None.__class__, [80]])
def test_a_number_is_never_guessed_from_something_else(value: object) -> None:
    with pytest.raises(ValidationError):
        plan(suction={"pressure_mmhg_high": value})


def test_usual_passes_cannot_exceed_most() -> None:
    assert plan(suction={"passes_usual": 3, "passes_high": 3})
    with pytest.raises(ValidationError, match="usual cannot be more than most"):
        plan(suction={"passes_usual": 4, "passes_high": 3})


def test_a_catheter_wider_than_the_tube_is_refused() -> None:
    # 12 Fr is 4.0 mm wide (French = 3 x outer diameter in mm): it cannot enter a 4.0 mm tube.
    assert plan(tube={"inner_diameter_mm": 4.0}, catheter={"size_fr": 11})
    with pytest.raises(ValidationError, match="too wide"):
        plan(tube={"inner_diameter_mm": 4.0}, catheter={"size_fr": 12})


def test_two_caregivers_never_share_a_spoken_name() -> None:
    rosa = {"name": "Rosa", "spoken": ["Mum"]}
    made = plan(caregivers=[rosa, {"name": "Tom"}])
    assert made.caregivers[0].said == ("rosa", "mum")
    with pytest.raises(ValidationError, match="both called 'mum'"):
        plan(caregivers=[rosa, {"name": "Tom", "spoken": ["mum"]}])


def test_a_caregiver_may_repeat_their_own_name() -> None:
    assert Caregiver(name="Rosa", spoken=("rosa",)).said == ("rosa",)


def test_night_must_have_length_but_may_cross_midnight() -> None:
    assert plan(home={"night_start": "22:00", "night_end": "06:00"})
    with pytest.raises(ValidationError, match="make them differ"):
        plan(home={"night_start": "07:00", "night_end": "07:00"})


@pytest.mark.parametrize("zone", ["Chicago", "", "../etc", "America/Nowhere"])
def test_unknown_zones_are_refused(zone: str) -> None:
    with pytest.raises(ValidationError, match="give a zone"):
        plan(home={"zone": zone})


@pytest.mark.parametrize("number", ["911", "112", "+1 555-0142", "(555) 0117"])
def test_phone_numbers(number: str) -> None:
    if number.startswith("("):
        with pytest.raises(ValidationError):
            plan(phones={"doctor": number})
    else:
        assert plan(phones={"doctor": number}).phones.doctor == number


def test_unknown_keys_are_refused_everywhere() -> None:
    with pytest.raises(ValidationError):
        plan(sucktion={})
    with pytest.raises(ValidationError):
        plan(suction={"presure": 80})


def test_a_plan_never_changes() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        plan().child.name = "Other"  # type: ignore[misc]
