"""Reading a plan from its file, and what goes wrong with files."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from voicelog import data
from voicelog.careplan import (
    CarePlan,
    PlanInvalidError,
    PlanMissingError,
    PlanUnreadableError,
    gaps,
    load_plan,
    parse_plan,
    template,
)
from voicelog.errors import VoicelogError

MINIMAL = '[child]\nname = "Juniper"\nage_group = "infant"\n'


def test_the_demo_plan_is_whole() -> None:
    plan = load_plan(data.folder("demo_audio") / "plan.toml")
    assert plan.child.name == "Juniper"
    assert [person.name for person in plan.caregivers] == ["Rosa", "Tom"]
    assert gaps(plan) == ()


def test_a_plan_is_read_from_its_file(tmp_path: Path) -> None:
    place = tmp_path / "plan.toml"
    place.write_text(MINIMAL, encoding="utf-8")
    assert load_plan(place) == parse_plan(MINIMAL, "x")


def test_a_mark_in_front_of_the_text_does_no_harm(tmp_path: Path) -> None:
    place = tmp_path / "plan.toml"
    place.write_bytes(b"\xef\xbb\xbf" + MINIMAL.encode())
    assert load_plan(place).child.name == "Juniper"


def test_a_missing_plan_says_how_to_make_one(tmp_path: Path) -> None:
    with pytest.raises(PlanMissingError, match="voicelog plan new") as caught:
        load_plan(tmp_path / "plan.toml")
    assert isinstance(caught.value, VoicelogError)
    assert isinstance(caught.value, FileNotFoundError)


def test_a_folder_is_not_a_plan(tmp_path: Path) -> None:
    with pytest.raises(PlanUnreadableError, match="check the place"):
        load_plan(tmp_path)


def test_text_that_is_not_utf8_is_refused(tmp_path: Path) -> None:
    place = tmp_path / "plan.toml"
    place.write_bytes(MINIMAL.encode("utf-16"))
    with pytest.raises(PlanUnreadableError, match="UTF-8"):
        load_plan(place)


def test_a_slip_in_the_toml_names_its_line() -> None:
    with pytest.raises(PlanUnreadableError, match="look at line 4 "):
        parse_plan(MINIMAL + 'weight_kg = 8,4"\n', "plan.toml")


@given(st.text(max_size=200))
def test_any_other_text_fails_in_one_line(text: str) -> None:
    with pytest.raises((PlanUnreadableError, PlanInvalidError), match=r"plan\.toml") as caught:
        parse_plan(text, "plan.toml")
    assert len(str(caught.value).splitlines()) == 1


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=100))
def test_any_bytes_load_or_fail_in_plain_words(tmp_path: Path, raw: bytes) -> None:
    place = tmp_path / "plan.toml"
    place.write_bytes(raw)
    with pytest.raises((PlanUnreadableError, PlanInvalidError)):
        load_plan(place)


def test_gaps_name_what_to_fill_in_first() -> None:
    missing = gaps(parse_plan(template("Juniper"), "x"))
    assert [line.partition(":")[0] for line in missing] == [
        "phones.emergency",
        "catheter.depth_cm",
        "watch.spo2_low",
        "suction.pressure_mmhg_high",
        "caregivers",
        "home.zone",
    ]


def test_gaps_close_as_they_are_filled() -> None:
    whole = load_plan(data.folder("demo_audio") / "plan.toml").model_dump()
    whole["phones"]["emergency"] = None
    assert [line.partition(":")[0] for line in gaps(CarePlan.model_validate(whole))] == [
        "phones.emergency"
    ]
