"""Which values are warned about, and whose limit it is."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.careplan import CarePlan, parse_plan, template
from voicelog.careplan.sections import AgeGroup
from voicelog.entries import SlotValue
from voicelog.limits import Bound, Breach, Limit, check, limits_for, unchecked
from voicelog.published import load_published

PUBLISHED = load_published()


def plan(group: str = "infant", **sections: object) -> CarePlan:
    return CarePlan.model_validate({"child": {"name": "J", "age_group": group}, **sections})


def breaches(made: CarePlan, **slots: SlotValue) -> tuple[Breach, ...]:
    return check(slots, limits_for(made, PUBLISHED))


def pressure(bound: Bound, value: float) -> bool:
    limit = Limit(slot="pressure_mmhg", unit="mmHg", high=bound)
    return bool(check({"pressure_mmhg": value}, {"pressure_mmhg": limit}))


# "Below 120" is AARC 2022; "at most 120" is Ireton 2007 for adolescents.
@pytest.mark.parametrize(
    ("value", "below", "at_most"), [(119, False, False), (120, True, False), (121, True, True)]
)
def test_pressure_at_120(value: int, below: bool, at_most: bool) -> None:
    assert pressure(Bound(value=120, inclusive=False), value) is below
    assert pressure(Bound(value=120, inclusive=True), value) is at_most


# AARC 2022: no longer than 15 s; AARC 2010: under 15 s.
@pytest.mark.parametrize(
    ("row", "seconds", "warned"),
    [
        ("pass-aarc-2022", 15.0, False),
        ("pass-aarc-2022", 15.1, True),
        ("pass-aarc-2010", 14.9, False),
        ("pass-aarc-2010", 15.0, True),
    ],
)
def test_a_pass_at_15_seconds(row: str, seconds: float, warned: bool) -> None:
    published = PUBLISHED.row(row)
    assert published.high is not None
    bound = Bound(value=published.high, inclusive=published.high_inclusive)
    assert bound.exceeded(seconds, "high") is warned


@pytest.mark.parametrize(
    ("group", "low", "high"),
    [
        # Published defaults: Ireton and NTSP; AARC's "below 120" for adolescents.
        ("neonate", 60, 80),
        ("infant", 80, 100),
        ("child", 80, 100),
        ("adolescent", 80, 119),
    ],
)
def test_published_pressure_by_age(group: str, low: int, high: int) -> None:
    made = plan(group)
    assert not breaches(made, pressure_mmhg=low)
    assert not breaches(made, pressure_mmhg=high)
    (too_low,) = breaches(made, pressure_mmhg=low - 1)
    (too_high,) = breaches(made, pressure_mmhg=high + 1)
    assert (too_low.side, too_high.side) == ("low", "high")
    assert {too_low.whose, too_high.whose} == {"published"}
    assert too_low.source
    assert too_high.source


def test_the_plan_beats_the_published_number_and_says_so() -> None:
    made = plan("infant", suction={"pressure_mmhg_low": 90, "pressure_mmhg_high": 130})
    assert not breaches(made, pressure_mmhg=130)
    (breach,) = breaches(made, pressure_mmhg=131)
    assert breach == Breach(
        slot="pressure_mmhg",
        value=131,
        unit="mmHg",
        side="high",
        limit=130,
        inclusive=True,
        whose="plan",
    )


def test_a_plan_that_is_stricter_also_wins() -> None:
    (breach,) = breaches(plan("child", suction={"pressure_mmhg_high": 90}), pressure_mmhg=95)
    assert (breach.limit, breach.whose) == (90, "plan")


def test_each_side_has_its_own_owner() -> None:
    made = plan("infant", watch={"heart_rate_high": 170})
    (high,) = breaches(made, heart_rate=171)
    (low,) = breaches(made, heart_rate=60)
    assert (high.whose, low.whose) == ("plan", "published")
    assert low.source == "the life support table"


@pytest.mark.parametrize(
    "section", [{"pressure_mmhg_low": 110}, {"pressure_mmhg_high": 70}, {"pressure_mmhg_low": 100}]
)
def test_a_published_side_that_fights_the_plan_is_dropped(section: dict[str, int]) -> None:
    # Infants: published 80 to 100.  The plan's number must leave room to be met.
    limit = limits_for(plan("infant", suction=section), PUBLISHED)["pressure_mmhg"]
    owners = [bound.whose for bound in (limit.low, limit.high) if bound]
    assert owners == ["plan"]


def test_depth_is_the_plans_own_or_not_checked() -> None:
    assert not breaches(plan(), depth_cm=20)
    made = plan(catheter={"depth_cm": 6.0, "deeper_allowed_cm": 0.5})
    assert not breaches(made, depth_cm=6.5)
    assert not breaches(made, depth_cm=2)  # shallow rather than deep: AARC 2010
    (breach,) = breaches(made, depth_cm=6.6)
    assert (breach.side, breach.limit, breach.whose) == ("high", 6.5, "plan")


@given(st.integers(10, 250), st.integers(0, 20))
def test_depth_equal_to_the_sum_is_never_too_deep(tenths: int, more: int) -> None:
    # 6.1 + 0.3 is 6.3999... in a computer; 6.4 must still be fine.
    made = plan(catheter={"depth_cm": tenths / 10, "deeper_allowed_cm": more / 10})
    assert not breaches(made, depth_cm=(tenths + more) / 10)
    assert breaches(made, depth_cm=(tenths + more + 1) / 10)


def test_passes_and_seconds() -> None:
    # Common practice, no source: a pass under 10 s, three passes at most.
    assert not breaches(plan(), passes=3, pass_seconds=9.9)
    found = breaches(plan(), passes=4, pass_seconds=10.0)
    assert [breach.slot for breach in found] == ["passes", "pass_seconds"]
    assert {breach.source for breach in found} == {"common practice"}
    own = plan(suction={"passes_high": 4, "pass_seconds_high": 10})
    assert not breaches(own, passes=4, pass_seconds=10.0)
    assert len(breaches(own, passes=5, pass_seconds=10.1)) == 2


def test_saline() -> None:
    # Common practice, no source: 3-5 drops, only when needed; so none is never too few.
    assert not breaches(plan(), saline_drops=0)
    assert not breaches(plan(), saline_drops=1)
    assert not breaches(plan(), saline_drops=5)
    assert breaches(plan(), saline_drops=6)
    own = plan(suction={"saline_drops_low": 3, "saline_drops_high": 4})
    assert not breaches(own, saline_drops=0)
    assert [b.side for b in breaches(own, saline_drops=2)] == ["low"]
    assert [b.side for b in breaches(own, saline_drops=5)] == ["high"]


def test_oxygen_level() -> None:
    assert not breaches(plan(), spo2=96)
    assert breaches(plan(), spo2=95)  # NICE: 95 or less is amber
    own = plan(watch={"spo2_low": 92})
    assert not breaches(own, spo2=92)
    (breach,) = breaches(own, spo2=91)
    assert (breach.side, breach.limit, breach.whose) == ("low", 92, "plan")
    assert not breaches(own, spo2=100)


def test_fever_starts_at_its_number() -> None:
    # 38.0 or more: NICE for 0-3 months, Quebec home care site (rectal).
    for group in ("neonate", "infant", "child", "adolescent"):
        assert not breaches(plan(group), temperature_c=37.9)
        assert breaches(plan(group), temperature_c=38.0)
    own = plan(watch={"fever_c": 38.5})
    assert not breaches(own, temperature_c=38.4)
    assert breaches(own, temperature_c=38.5)
    assert not breaches(own, temperature_c=35.0)


def test_rates() -> None:
    # WHO: 2-12 months under 50 breaths a minute; PALS: infant from 30.
    assert not breaches(plan(), resp_rate=49)
    assert not breaches(plan(), resp_rate=30)
    assert breaches(plan(), resp_rate=50)
    assert breaches(plan(), resp_rate=29)


def test_words_and_unknown_slots_are_left_alone() -> None:
    assert not breaches(plan(), colour="red", note="900", oxygen_lpm=2, fluid_ml=900)
    assert not breaches(plan(), spo2="low")


def test_breaches_come_in_the_order_they_were_said() -> None:
    found = breaches(plan(), spo2=80, passes=9, pressure_mmhg=200)
    assert [breach.slot for breach in found] == ["spo2", "passes", "pressure_mmhg"]


@pytest.mark.parametrize("group", ["neonate", "infant", "child", "adolescent"])
def test_a_new_plan_is_checked_against_published_numbers_only(group: AgeGroup) -> None:
    limits = limits_for(parse_plan(template("J", group), "new"), PUBLISHED)
    assert set(limits) == {
        "pressure_mmhg",
        "pass_seconds",
        "passes",
        "saline_drops",
        "spo2",
        "heart_rate",
        "resp_rate",
        "temperature_c",
    }
    for limit in limits.values():
        for bound in (limit.low, limit.high):
            assert bound is None or (bound.whose == "published" and bound.source and bound.mark)
        if limit.low and limit.high:
            assert limit.low.value < limit.high.value


def test_units_agree_with_the_published_rows() -> None:
    limits = limits_for(plan(), PUBLISHED)
    for row in PUBLISHED.rows:
        assert limits[row.slot].unit == row.unit


@given(st.floats(20, 300), st.floats(20, 300), st.booleans(), st.sampled_from(["low", "high"]))
def test_a_bound_is_crossed_on_one_side_only(
    value: float, bound: float, inclusive: bool, side: str
) -> None:
    crossed = Bound(value=bound, inclusive=inclusive).exceeded(
        value, "low" if side == "low" else "high"
    )
    distance = value - bound if side == "high" else bound - value
    assert crossed is (distance > 0 or (distance == 0 and not inclusive))


# Ireton and NTSP: 80 to 100 for infants; three passes are common practice.
@pytest.mark.parametrize(
    ("suction", "told"),
    [
        (
            {"pressure_mmhg_low": 120},
            "No upper limit is checked for pressure_mmhg: the plan's lower limit 120 is not below "
            "the published 100; write pressure_mmhg_high.",
        ),
        (
            {"pressure_mmhg_high": 70},
            "No lower limit is checked for pressure_mmhg: the plan's upper limit 70 is not above "
            "the published 80; write pressure_mmhg_low.",
        ),
        (
            {"passes_usual": 5},
            "The plan's passes_usual is 5, and more than the published 3 are always warned of: "
            "write suction.passes_high.",
        ),
    ],
)
def test_what_the_plan_leaves_no_published_limit_for_is_told(
    suction: dict[str, int], told: str
) -> None:
    assert unchecked(plan(suction=suction), PUBLISHED) == (told,)


def test_a_plan_that_says_all_itself_leaves_nothing_unchecked() -> None:
    full = {"pressure_mmhg_low": 120, "pressure_mmhg_high": 140, "passes_usual": 5}
    assert unchecked(plan(suction={**full, "passes_high": 6}), PUBLISHED) == ()
    assert unchecked(plan(suction={"passes_usual": 3, "pressure_mmhg_low": 90}), PUBLISHED) == ()
