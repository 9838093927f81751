"""What may be stored, what is asked about, and what is left alone."""

import pytest

from voicelog.grammar import Grammar, load


@pytest.mark.parametrize(
    "text",
    [
        "not green",
        "yesterday it was yellow",
        "two or three passes",
        "is there any blood",
        "pressure one time",
        "the red bus",
        "",
        "... , !",
    ],
)
def test_nothing_is_stored(english: Grammar, text: str) -> None:
    assert english.parse(text).outcome != "understood"


@pytest.mark.parametrize(
    ("text", "choices"),
    [
        ("white and yellow", [{"colour": "white"}, {"colour": "yellow"}]),
        ("depth one two", [{"depth_cm": 12}, {"depth_cm": 1.2}]),
    ],
)
def test_two_values_are_asked_about(
    english: Grammar, text: str, choices: list[dict[str, object]]
) -> None:
    parse = english.parse(text)
    assert parse.outcome == "ask"
    assert all(choice in parse.alternatives for choice in choices)


def test_a_bare_number_is_asked_about(english: Grammar) -> None:
    parse = english.parse("fifteen")
    assert parse.outcome == "ask"
    assert len(parse.alternatives) > 1


def test_a_number_left_over_is_asked_about(english: Grammar) -> None:
    parse = english.parse("two passes white ninety")
    assert parse.outcome == "ask"
    assert parse.slots["passes"] == 2


def test_what_was_asked_for_may_be_bare(english: Grammar) -> None:
    assert english.parse("two", expected=["passes"]).slots == {"passes": 2}
    assert english.parse("two").outcome != "understood"


def test_no_to_a_question_is_about_its_slot(english: Grammar) -> None:
    assert english.parse("no", expected=["odour", "answer"]).slots == {"odour": "none"}
    assert english.parse("no", expected=["answer"]).slots == {"answer": "no"}


def test_idle_needs_the_wake_phrase_or_a_start_word(english: Grammar) -> None:
    assert english.parse("two passes", "idle").outcome == "not_understood"
    woken = english.parse("bedside log two passes", "idle")
    assert woken.outcome == "understood"
    assert woken.woken
    assert woken.slots == {"passes": 2}
    assert english.parse("start suction", "idle").slots == {"action": "start_suction"}
    alone = english.parse("bedside log", "idle")
    assert (alone.outcome, alone.slots, alone.woken) == ("understood", {}, True)


def test_a_note_keeps_its_words(english: Grammar) -> None:
    parse = english.parse("note he slept badly")
    assert parse.slots == {"action": "note"}
    assert parse.note == "he slept badly"


def test_who_keeps_the_name(english: Grammar) -> None:
    assert english.parse("this is Rosa").slots == {"action": "who", "caregiver": "Rosa"}


def test_a_repeated_value_counts_once(english: Grammar) -> None:
    assert english.parse("white, white").slots == {"colour": "white"}


def test_strict_takes_no_unknown_word(english: Grammar) -> None:
    assert english.parse("white zebra", strict=True).outcome == "not_understood"


@pytest.mark.parametrize(
    "text",
    ["sats bobbing around ninety three", "sats, um, ninety three", "sats are still ninety three"],
)
def test_an_unknown_verb_or_a_hesitation_parts_no_phrase(english: Grammar, text: str) -> None:
    assert english.parse(text).slots == {"spo2": 93}


def test_a_comma_between_spoken_digits_is_asked_about(english: Grammar) -> None:
    assert english.parse("heart rate one, thirteen").outcome == "ask"
    parse = english.parse("Fluid, five, eight milliliters")
    assert parse.outcome == "ask"
    assert {"fluid_ml": 58} in parse.alternatives
    assert english.parse("sats ninety, two passes").slots == {"spo2": 90, "passes": 2}


def test_a_bare_number_after_the_wake_phrase_is_asked_about(english: Grammar) -> None:
    parse = english.parse("bedside log, he's at ninety three", "idle")
    assert parse.outcome == "ask"
    assert {"spo2": 93} in parse.alternatives
    assert {"heart_rate": 93} in parse.alternatives


def test_a_quantity_of_something_strange_is_not_stored(english: Grammar) -> None:
    assert english.parse("he took five mils of zorbex").outcome == "not_understood"


@pytest.mark.parametrize("text", ["is his heart rate one forty", "okay, are the sats ninety"])
def test_a_question_is_not_stored(english: Grammar, text: str) -> None:
    assert english.parse(text).outcome == "not_understood"


@pytest.mark.parametrize(
    ("text", "action"),
    [
        ("out", "pass_end"),
        ("okay, out", "pass_end"),
        ("white and thick, coming out", "pass_end"),
        ("two passes, going in", "pass_start"),
        ("large amount of white out of him", None),
        ("two passes white out", None),
        ("the gunk coming out of her is really thick", None),
    ],
)
def test_small_words_are_a_command_only_at_an_edge(
    english: Grammar, text: str, action: str | None
) -> None:
    parse = english.parse(text)
    assert parse.outcome == "understood"
    assert parse.slots.get("action") == action


@pytest.mark.parametrize("text", ["his nose's red", "the lips're white", "skin's not red"])
def test_a_blocker_blocks_in_its_short_form(english: Grammar, text: str) -> None:
    assert english.parse(text).outcome == "not_understood"


@pytest.mark.parametrize(
    ("text", "slots"),
    [
        ("changed Mia's ties", {"action": "tie_change"}),
        ("Mia's settled now", {"child_response": "calm"}),
        ("okay so Mia had two passes", {"passes": 2}),
        ("Mia isn't crying", {}),
        ("is Mia asleep", {}),
        ("Mia's brother is coughing", {}),
        ("Mia's teddy is yellow", {}),
    ],
)
def test_the_childs_name_is_the_child(text: str, slots: dict[str, object]) -> None:
    parse = load("en", child="Mia").parse(text)
    assert parse.outcome == ("understood" if slots else "not_understood")
    assert parse.slots == slots


def test_a_note_keeps_the_childs_name() -> None:
    assert load("en", child="Mia").parse("note Mia slept badly").note == "mia slept badly"


def test_an_emergency_is_answered_rather_once_too_often(english: Grammar) -> None:
    """As "it's an emergency, call an ambulance" may be heard."""
    parse = english.parse("in an emergency call an ambulance")
    assert parse.slots == {"action": "emergency"}


def test_a_name_that_is_a_word_too_stays_that_word() -> None:
    assert load("en", child="Green").parse("it was green").slots == {"colour": "green"}
