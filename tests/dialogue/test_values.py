from dataclasses import replace

import pytest

from tests.dialogue.bedside import BARE_PLAN, NIGHT, Bedside, setting, spoken
from voicelog.dialogue.actions import Say


def opened(**kwargs: object) -> Bedside:
    bed = Bedside(**kwargs)  # type: ignore[arg-type]
    bed.say(action="start_suction")
    return bed


def test_values_come_in_any_order_and_are_read_back_in_one() -> None:
    bed = opened()
    assert bed.say(saline_drops=3, thickness="thick", passes=2, colour="white") == [
        "Two passes, white, thick, three drops. Saved."
    ]


def test_a_value_said_again_tells_what_it_was() -> None:
    bed = opened()
    bed.say(colour="white")
    assert bed.say(colour="yellow") == ["Yellow, was white. Saved."]
    assert bed.say(colour="yellow") == ["Yellow. Saved."]


def test_the_read_back_is_what_the_journal_holds() -> None:
    """If the journal held something else than was sent, it would be heard."""
    bed = opened(holding=False)
    bed.holding = True
    bed.say(pressure_mmhg=50)
    [commit] = bed.held
    changed = commit.entry.model_copy(update={"slots": {"pressure_mmhg": 15}})
    bed.held = [replace(commit, entry=changed)]
    assert spoken(bed.release())[0] == "Pressure fifteen. Saved."


@pytest.mark.parametrize(
    ("slots", "sentence"),
    [
        ({"pressure_mmhg": 130}, "Pressure 130 is above the plan's 100."),
        ({"pressure_mmhg": 70}, "Pressure 70 is below the plan's 80."),
        ({"depth_cm": 7.1}, "Depth 7.1 is above the plan's 7."),
        ({"spo2": 91}, "Sats 91 are below the plan's 92."),
        ({"saline_drops": 6}, "Saline drops 6 are above the plan's 5."),
        # Fever starts at its number: 38.0 C is one (NICE, fever in under 3 months: 38 C or more).
        ({"temperature_c": 38.0}, "Temperature 38 is not under the plan's 38."),
        ({"temperature_c": 38.6}, "Temperature 38.6 is above the plan's 38."),
    ],
)
def test_out_of_the_plans_range_is_one_sentence(slots: dict[str, float], sentence: str) -> None:
    assert opened().say(**slots)[1:] == [sentence]


@pytest.mark.parametrize(
    "slots",
    [
        {"pressure_mmhg": 80},
        {"pressure_mmhg": 100},
        {"depth_cm": 7.0},
        {"spo2": 92},
        {"saline_drops": 0},
    ],
)
def test_on_the_limit_is_within_it(slots: dict[str, float]) -> None:
    assert len(opened().say(**slots)) == 1


@pytest.mark.parametrize(
    ("slots", "sentence"),
    [
        # Infants 80-100 mmHg: NTSP paediatric e-learning, table 1.
        (
            {"pressure_mmhg": 130},
            "Pressure 130 is above 100, U K safety project, no plan limit set.",
        ),
        # At most five drops: common practice, no source.
        (
            {"saline_drops": 7},
            "Saline drops 7 are above 5, common practice, no plan limit set.",
        ),
        # NICE, feverish child: 95 percent or less in air is amber.
        ({"spo2": 95}, "Sats 95 are not over 95, fever guideline, no plan limit set."),
    ],
)
def test_without_a_plan_limit_the_published_one_is_named(
    slots: dict[str, int], sentence: str
) -> None:
    assert opened(setting=setting(BARE_PLAN)).say(**slots)[1:] == [sentence]


def test_each_value_out_of_range_has_its_sentence() -> None:
    said = opened().say(pressure_mmhg=130, spo2=88, colour="white")
    assert said == [
        "White, pressure one hundred thirty, sats eighty eight. Saved.",
        "Pressure 130 is above the plan's 100.",
        "Sats 88 are below the plan's 92.",
    ]


def test_a_warning_is_full_and_clear_even_at_night() -> None:
    bed = opened(start=NIGHT)
    bed.say(spo2=85)
    said = [action for action in bed.actions if isinstance(action, Say)]
    assert said[-2:] == [
        Say("Sats eighty five. Saved.", "quiet"),
        Say("Sats 85 are below the plan's 92.", "normal"),
    ]


def test_without_read_back_only_that_it_is_saved_is_said() -> None:
    plan = {**BARE_PLAN, "settings": {"read_back": False}}
    bed = opened(setting=setting(plan))
    assert bed.say(colour="white") == ["Saved."]
    assert bed.say(spo2=80)[0] == "Saved."
    assert len(bed.say(spo2=80)) == 2


def test_a_slot_nobody_wrote_words_for_is_still_read_back() -> None:
    assert opened().say(nose_colour="pale", sneezes=2) == ["Nose colour pale, sneezes two. Saved."]


def test_a_long_read_back_is_cut_into_sentences() -> None:
    said = opened().say(
        passes=2, colour="white", thickness="thick", amount="small", spo2=95, heart_rate=120
    )
    assert said == [
        "Two passes, white, thick, small amount. "
        "Sats ninety five, heart rate one hundred twenty. Saved."
    ]
