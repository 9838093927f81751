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
