from datetime import time

import pytest

from voicelog.baseline.settings import LearningTooShortError, Settings, from_plan
from voicelog.careplan import parse_plan
from voicelog.limits import Bound

PLAN = """
[child]
name = "Robin"
age_group = "infant"
weight_kg = 8.4
[catheter]
size_fr = 8
depth_cm = 6.0
deeper_allowed_cm = 0.5
[suction]
pressure_mmhg_high = 100
[home]
zone = "America/Chicago"
wake = 06:30:00
[phones]
emergency = "911"
on_call = "555-0142"
[settings]
days_between_false_alarms = 100
[fluids]
target_ml = 800
[change_days]
tube = 7
[supplies]
catheters = 60
"""


def test_the_plan_fills_the_settings() -> None:
    settings = from_plan(
        parse_plan(PLAN, "plan.toml"), {"pressure_high": 120, "pass_seconds_high": 15}
    )
    assert settings.zone.key == "America/Chicago"
    assert settings.wake_hour == 6.5
    assert settings.pressure_high == 100  # the plan wins
    assert settings.pass_seconds_high == 15
    assert settings.published == {"pass_seconds_high"}
    assert settings.false_alarm_days == 100
    assert settings.change_days == {"tube_change": 7}
    assert settings.contact == "555-0142"
    assert settings.stock == {"catheters": 60}
    assert settings.learning_days == 14


@pytest.mark.parametrize("days", [0, 6])
def test_learning_takes_a_week_at_least(days) -> None:
    with pytest.raises(LearningTooShortError, match="at least 7 days"):
        Settings(learning_days=days)


def test_night_may_cross_midnight() -> None:
    settings = Settings(night_start=time(22), night_end=time(7))
    assert settings.is_night(time(23))
    assert settings.is_night(time(6, 59))
    assert not settings.is_night(time(7))
    assert Settings(night_start=time(1), night_end=time(5)).is_night(time(2))
    assert not Settings(night_start=time(1), night_end=time(5)).is_night(time(23))


def test_below_a_number_leaves_the_number_out() -> None:
    plan = parse_plan(PLAN.replace("pressure_mmhg_high = 100", ""), "plan.toml")
    below = from_plan(plan, {"pressure_high": Bound(value=120, inclusive=False)}).pressure_high
    at_most = from_plan(plan, {"pressure_high": Bound(value=120)}).pressure_high
    assert below is not None
    assert below < 120 == at_most
    assert round(below) == 120
