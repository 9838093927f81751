"""Each problem is one plain sentence with the key, the value and the fix."""

import pytest

from voicelog.careplan import PlanInvalidError, parse_plan

CHILD = '[child]\nname = "Juniper"\nage_group = "infant"\n'

CASES = [
    ("", "child is missing: add it."),
    ('[child]\nname = "J"', "child.age_group is missing: add it (neonate "),
    ('[child]\nname = "J"\nage_group = "chld"', 'child.age_group is "chld": give one of'),
    ('child = "J"', 'child is "J": make it a section in square brackets.'),
    (CHILD + "[suction]\npressure_mmhg_low = -80", "is -80: give a number from 20 to 300 ("),
    (CHILD + '[suction]\npressure_mmhg_low = "80"', 'is "80": give a whole number without quotes'),
    (CHILD + "[suction]\npressure_mmhg_low = 80.5", "is 80.5: give a whole number without quotes"),
    (CHILD + "[suction]\npressure_mmhg_low = true", "is true: give a whole number without quotes"),
    (
        CHILD + "[suction]\npressure_mmhg_low = 100\npressure_mmhg_high = 80",
        "suction: pressure_mmhg_low is 100 and pressure_mmhg_high is 80: "
        "the low one must be smaller.",
    ),
    (CHILD + "[suction]\npresure_mmhg_low = 80", "did you mean pressure_mmhg_low?"),
    (CHILD + "[sucction]\n", "sucction is not a known key: did you mean suction?"),
    (CHILD + "shoe = 1", "child.shoe is not a known key: use one of name, age_group, born"),
    (
        CHILD + "[watch]\nfever_c = 100.4",
        "watch.fever_c is 100.4: give a number from 36 to 42 "
        "(Fever starts here, in Celsius: 100.4 F is 38.0 C).",
    ),
    (CHILD + "[watch]\nfever_c = nan", "watch.fever_c is nan: give a number"),
    (CHILD + '[home]\nzone = "Chicago"', 'home.zone is "Chicago": give a zone such as'),
    (CHILD + '[home]\nwake = "7 am"', 'home.wake is "7 am": give a time such as "07:00"'),
    (CHILD + '[home]\nlanguage = "english"', 'home.language is "english": write it like "en"'),
    (CHILD + "[phones]\nemergency = 911", "phones.emergency is 911: put it in double quotes"),
    (CHILD + '[phones]\nemergency = "call me"', 'is "call me": write it like "911"'),
    (CHILD + "[settings]\nask_missing = 1", "settings.ask_missing is 1: give true or false"),
    (CHILD + "[supplies]\ncatheters = -1", "supplies.catheters is -1: give a number from 0 to"),
    (CHILD + '[[caregivers]]\nname = ""', 'caregivers.1.name is "": write at least one letter'),
    (CHILD + '[[caregivers]]\nname = "Rosa"\nspoken = "mum"', "make it a list in square brackets"),
    (CHILD + 'born = "x"', 'child.born is "x": give a day such as 2025-03-09'),
    (CHILD + '[oxygen]\ncylinder = "Z"', 'oxygen.cylinder is "Z": give one of'),
]


@pytest.mark.parametrize(("text", "said"), CASES)
def test_the_sentence(text: str, said: str) -> None:
    with pytest.raises(PlanInvalidError) as caught:
        parse_plan(text, "juniper.toml")
    sentence = str(caught.value)
    assert sentence.startswith("In the care plan juniper.toml, ")
    assert said in sentence
    assert sentence.endswith((".", "?"))
    assert "\n" not in sentence


def test_a_very_long_value_is_cut_short() -> None:
    with pytest.raises(PlanInvalidError) as caught:
        parse_plan(f'[child]\nname = "{"x" * 500}"\nage_group = "child"', "p")
    assert len(str(caught.value)) < 200
