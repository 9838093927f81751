import pytest

from tests.dialogue.bedside import DAY, ENGLISH
from voicelog.dialogue.phrasing import Phrasing, differing
from voicelog.entries import Slots, SlotValue

SAY = Phrasing(ENGLISH)


@pytest.mark.parametrize(
    ("slot", "value", "phrase"),
    [
        ("passes", 1, "one pass"),
        ("passes", 2, "two passes"),
        ("passes", 0, "no passes"),
        ("colour", "blood-tinged", "blood-tinged"),
        ("thickness", "normal", "normal thickness"),
        ("thickness", "very thick", "very thick"),
        ("amount", "small", "small amount"),
        ("amount", "none", "no secretions"),
        ("odour", "none", "no smell"),
        ("odour", "foul", "foul smell"),
        ("saline_drops", 0, "no saline"),
        ("saline_drops", 1, "one drop"),
        ("saline_drops", 3, "three drops"),
        ("depth_cm", 6.5, "depth six point five"),
        ("pressure_mmhg", 100, "pressure one hundred"),
        ("spo2", 94, "sats ninety four"),
        ("heart_rate", 145, "heart rate one hundred forty five"),
        ("resp_rate", 32, "breathing rate thirty two"),
        ("temperature_c", 38.3, "temperature thirty eight point three"),
        ("pass_seconds", 8.3, "eight point three seconds"),
        ("pass_seconds", 1.0, "one second"),
        ("oxygen_lpm", 0.5, "oxygen zero point five litres"),
        ("oxygen_lpm", 1, "oxygen one litre"),
        ("fluid_ml", 60, "fluid sixty millilitres"),
        ("breath_sounds", "coarse", "breath sounds coarse"),
        ("child_response", "colour change", "colour change"),
        ("new_slot", "some_value", "new slot some value"),
    ],
)
def test_phrases(slot: str, value: SlotValue, phrase: str) -> None:
    assert SAY.phrase(slot, value) == phrase


def test_no_value_of_one_slot_sounds_like_another_of_it() -> None:
    for slot in ENGLISH.slots:
        phrases = [SAY.phrase(slot, value) for value in range(200)]
        assert len(set(phrases)) == 200


def test_a_listing_has_its_order_whatever_was_said_first() -> None:
    slots: Slots = {"extra": 1, "spo2": 94, "thickness": "thick", "passes": 2}
    assert SAY.listing(slots) == "two passes, thick, sats ninety four, extra one"


def test_an_empty_listing_is_empty() -> None:
    assert SAY.listing({}) == ""


def test_alternatives() -> None:
    assert SAY.either(["fifteen", "fifty"]) == "fifteen, or fifty"
    assert SAY.either(["a", "b", "c"]) == "a, or b, or c"


@pytest.mark.parametrize(
    ("candidates", "parts"),
    [
        (({"a": 1}, {"a": 2}), [{"a": 1}, {"a": 2}]),
        (({"a": 1, "b": 5}, {"a": 2, "b": 5}), [{"a": 1}, {"a": 2}]),
        (({"a": 1}, {"b": 1}), [{"a": 1}, {"b": 1}]),
        (({"a": 1}, {"a": 1, "b": 2}), [{"a": 1}, {"a": 1, "b": 2}]),
        (({"a": 1},), [{"a": 1}]),
        ((), []),
    ],
)
def test_what_differs(candidates: tuple[Slots, ...], parts: list[Slots]) -> None:
    assert differing(candidates) == parts


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("911", "9 1 1"),
        ("555-0142", "5 5 5, 0 1 4 2"),
        ("+44 20 7946", "4 4, 2 0, 7 9 4 6"),
        ("x", "x"),
    ],
)
def test_phone_numbers(number: str, said: str) -> None:
    assert SAY.phone(number) == said


def test_the_time_of_day() -> None:
    assert SAY.clock(DAY) == "14:00"


def test_minutes() -> None:
    assert SAY.minutes(1) == "one minute"
    assert SAY.minutes(30) == "thirty minutes"
