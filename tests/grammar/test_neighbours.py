"""A word beside a phrase that makes it about something else."""

import pytest

from voicelog import grammar

RULES = grammar.load("en")


@pytest.mark.parametrize(
    "said",
    [
        "five mils of calpol",
        "coughed ten seconds",
        "up one litre",
        "another two passes",
        "a two centimetre plug",
    ],
)
def test_a_number_about_something_else_is_not_stored(said: str) -> None:
    found = RULES.parse(said)
    numbers = [value for value in found.slots.values() if not isinstance(value, str)]
    assert found.outcome != "understood" or not numbers


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        ("coughed, ten second pass", {"child_response": "coughing", "pass_seconds": 10}),
        ("nine deep watery", {"depth_cm": 9, "thickness": "watery"}),
        ("two passes, white", {"passes": 2, "colour": "white"}),
        ("thick and white", {"thickness": "thick", "colour": "white"}),
    ],
)
def test_a_number_of_its_own_is(said: str, slots: dict[str, object]) -> None:
    found = RULES.parse(said)
    assert (found.outcome, found.slots) == ("understood", slots)


@pytest.mark.parametrize("said", ["that yoghurt is thick", "the teddy was brown and thick"])
def test_a_value_of_a_strange_thing_is_not_stored(said: str) -> None:
    assert RULES.parse(said).outcome != "understood"


@pytest.mark.parametrize("said", ["Ellie is fast asleep", "the mucus is thick"])
def test_one_of_the_child_or_the_mucus_is(said: str) -> None:
    assert RULES.parse(said).outcome == "understood"


@pytest.mark.parametrize(
    "said",
    ["end of the feed, one pass", "he's on oxygen one pass", "heart rate one ten second pass"],
)
def test_a_number_that_begins_what_follows_is_asked_about(said: str) -> None:
    assert RULES.parse(said).outcome == "ask"


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        ("white and normal", {"colour": "white", "thickness": "normal"}),
        (
            "white, normal, moderate",
            {"colour": "white", "thickness": "normal", "amount": "moderate"},
        ),
        ("normal, yellow", {"colour": "yellow", "thickness": "normal"}),
        (
            "thick white stuff, medium, no smell",
            {"thickness": "thick", "colour": "white", "amount": "moderate", "odour": "none"},
        ),
    ],
)
def test_a_bare_word_in_a_list_has_a_slot(said: str, slots: dict[str, object]) -> None:
    found = RULES.parse(said)
    assert (found.outcome, found.slots) == ("understood", slots)


@pytest.mark.parametrize(
    "said",
    ["sats ninety five, normal", "chest clear and normal", "stoma pink and normal", "normal white"],
)
def test_beside_another_thing_it_has_none(said: str) -> None:
    assert "thickness" not in RULES.parse(said).slots


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        ("bit of yellow", {"colour": "yellow", "amount": "small"}),
        ("loads of nice clear stuff", {"colour": "clear", "amount": "large"}),
        ("bit of a fright", {}),
        ("bit of saline, two drops", {"saline_drops": 2}),
    ],
)
def test_there_is_some_of_secretions_only(said: str, slots: dict[str, object]) -> None:
    assert RULES.parse(said).slots == slots


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        ("quite thick actually", {"thickness": "thick"}),
        ("actually two passes", {"action": "correct", "passes": 2}),
    ],
)
def test_at_the_end_a_small_word_corrects_nothing(said: str, slots: dict[str, object]) -> None:
    found = RULES.parse(said)
    assert (found.outcome, found.slots) == ("understood", slots)


@pytest.mark.parametrize("said", ["sats ninety five actually ninety four", "yellow, actually"])
def test_elsewhere_it_may(said: str) -> None:
    assert RULES.parse(said).outcome == "ask"


def test_a_comma_parts_a_number_from_one_with_a_noun() -> None:
    found = RULES.parse("turned the suction down to a hundred, three goes")
    assert found.slots == {"pressure_mmhg": 100, "passes": 3}
    assert RULES.parse("pressure a hundred, twenty").outcome == "ask"


def test_only_a_fraction_tells_a_temperature() -> None:
    assert RULES.parse("she's at a hundred point four").slots == {"temperature_c": 38.0}
    assert RULES.parse("she's at a hundred and three").outcome != "understood"


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        ("ninety four on two litres", {"spo2": 94, "oxygen_lpm": 2}),
        ("she's ninety six on half a litre", {"spo2": 96, "oxygen_lpm": 0.5}),
        ("ninety five in room air", {"spo2": 95, "oxygen_lpm": 0}),
        ("he's a hundred on a litre", {"spo2": 100, "oxygen_lpm": 1}),
        ("lots of milk, sixty mils", {"fluid_ml": 60}),
        ("Rosie's temp is thirty eight", {"temperature_c": 38}),
        ("the boy's temp is thirty eight", {"temperature_c": 38}),
    ],
)
def test_what_stands_beside_a_number_tells_what_it_is(said: str, slots: dict[str, object]) -> None:
    found = RULES.parse(said)
    assert (found.outcome, found.slots) == ("understood", slots)


@pytest.mark.parametrize(
    "said",
    [
        "the doll's temperature is thirty eight",
        "thirty eight on two litres",
        "oxygen two three litres",
        "depth ten two stairs",
        "feed at sixty",
        "crying and red",
        "on point about five litres",
        "temp 38/2",
    ],
)
def test_a_number_that_may_be_another_is_not_stored(said: str) -> None:
    assert RULES.parse(said).outcome != "understood"
