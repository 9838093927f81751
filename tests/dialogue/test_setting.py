from dataclasses import replace
from datetime import datetime

import pytest

from tests.dialogue.bedside import BARE_PLAN, FULL_PLAN, ZONE, Bedside, setting, tones


@pytest.mark.parametrize(
    ("hours", "time", "night"),
    [
        (("22:00", "07:00"), "21:59", False),
        (("22:00", "07:00"), "22:00", True),
        (("22:00", "07:00"), "00:00", True),
        (("22:00", "07:00"), "06:59", True),
        (("22:00", "07:00"), "07:00", False),
        (("01:00", "05:00"), "00:59", False),
        (("01:00", "05:00"), "03:00", True),
        (("01:00", "05:00"), "05:00", False),
    ],
)
def test_the_night_may_go_past_midnight(hours: tuple[str, str], time: str, night: bool) -> None:
    home = {"night_start": hours[0], "night_end": hours[1]}
    hour, minute = map(int, time.split(":"))
    now = datetime(2026, 3, 9, hour, minute, tzinfo=ZONE)
    assert setting({**BARE_PLAN, "home": home}).is_night(now) is night


def test_the_pass_limit_is_the_plans_or_the_published_one() -> None:
    """Published: common practice, under 10 s."""
    plan = {**FULL_PLAN, "suction": {"pass_seconds_high": 8}}
    assert setting(plan).pass_limit == 8
    assert setting(BARE_PLAN).pass_limit == 10


def test_no_limit_no_tones() -> None:
    bed = Bedside(setting=replace(setting(BARE_PLAN), limits={}))
    bed.say(action="start_suction")
    bed.say(action="pass_start")
    assert tones(bed.wait(30)) == []
    assert bed.say(action="pass_end")[0].startswith("Pass one, ")


def test_caregivers_by_any_of_their_names() -> None:
    here = setting()
    assert here.caregiver(" MUM ") == "Rosa"
    assert here.caregiver("rosa") == "Rosa"
    assert here.caregiver("sam") is None
    assert here.caregiver("") is None
