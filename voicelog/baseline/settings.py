"""What the baselines need to know of the child's plan."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import time
from math import inf, nextafter
from types import MappingProxyType
from zoneinfo import ZoneInfo

from voicelog.careplan import CarePlan
from voicelog.errors import VoicelogError
from voicelog.limits import Bound

# What one procedure uses up when the plan says nothing (common practice, no source).
PER_PROCEDURE: Mapping[str, float] = MappingProxyType({"catheters": 1.0, "gloves": 2.0})
PER_SALINE: Mapping[str, float] = MappingProxyType({"saline": 1.0})


class LearningTooShortError(VoicelogError, ValueError):
    """A learning period under a week."""

    def __init__(self, days: int) -> None:
        super().__init__(f"Learning takes at least 7 days, not {days}: set learning_days to 7.")


@dataclass(frozen=True)
class Settings:
    """The plan's numbers as the baselines use them; None means the plan does not say.

    Args:
        zone: the home's zone; days are its calendar days.
        wake, night_start, night_end: local times.
        morning_hours: hours after waking with a normal of their own.
        recheck_minutes: how long after a finding to look again.
        learning_days: ordinary days before the normal is stated, at least 7.
        false_alarm_days: days between false alarms, for each chart.
        depth_cm, pressure_high, passes_high, pass_seconds_high, spo2_low: the plan's limits.
        fluid_target_ml: a day's fluid; weight_kg for the reference rule only.
        delivery_days: days an order takes.
        stock: supplies counted in the plan, by name.
        per_procedure, per_saline: supplies used by a procedure, and by one with saline.
        change_days: days between changes, by action ("tube_change", ...).
        cylinder, cylinder_psi, oxygen_lpm: the oxygen cylinder in use.
        contact: whom to call, as spoken.
        published: names of the limits above that are published ones, not the plan's.

    Raises:
        LearningTooShortError: ``learning_days`` is under 7.

    """

    zone: ZoneInfo = field(default_factory=lambda: ZoneInfo("UTC"))
    wake: time = time(7, 0)
    night_start: time = time(22, 0)
    night_end: time = time(7, 0)
    morning_hours: float = 2.0
    recheck_minutes: int = 15
    learning_days: int = 14
    false_alarm_days: float = 200.0
    depth_cm: float | None = None
    deeper_allowed_cm: float = 0.0
    pressure_high: float | None = None
    passes_high: float | None = None
    pass_seconds_high: float | None = None
    spo2_low: float | None = None
    fluid_target_ml: float | None = None
    weight_kg: float | None = None
    delivery_days: int = 7
    stock: Mapping[str, int] = field(default_factory=dict)
    per_procedure: Mapping[str, float] = field(default_factory=lambda: dict(PER_PROCEDURE))
    per_saline: Mapping[str, float] = field(default_factory=lambda: dict(PER_SALINE))
    change_days: Mapping[str, int] = field(default_factory=dict)
    cylinder: str | None = None
    cylinder_psi: float | None = None
    oxygen_lpm: float | None = None
    contact: str = ""
    published: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        if self.learning_days < 7:
            raise LearningTooShortError(self.learning_days)

    @property
    def wake_hour(self) -> float:
        """Local waking time in hours."""
        return self.wake.hour + self.wake.minute / 60

    def is_night(self, at: time) -> bool:
        """Return whether a local time of day is in the night."""
        start, end = self.night_start, self.night_end
        return start <= at < end if start < end else at >= start or at < end


def from_plan(plan: CarePlan, published: Mapping[str, float | Bound] | None = None) -> Settings:
    """Return the settings of a care plan.

    Args:
        plan: the child's plan.
        published: limits to fall back on, by field name here (``pressure_high``, ...);
            a bound that leaves out its own number ("below 120") is kept so.

    Raises:
        LearningTooShortError: the plan's learning period is under 7 days.

    """
    home, suction, watch, change = plan.home, plan.suction, plan.watch, plan.change_days
    due = {
        "tube_change": change.tube,
        "tie_change": change.ties,
        "hme_change": change.hme,
        "humidifier_change": change.humidifier,
    }
    settings = Settings(
        zone=ZoneInfo(home.zone),
        wake=home.wake,
        night_start=home.night_start,
        night_end=home.night_end,
        recheck_minutes=plan.settings.recheck_minutes,
        learning_days=max(7, plan.settings.learning_days),
        false_alarm_days=float(plan.settings.days_between_false_alarms),
        depth_cm=plan.catheter.depth_cm,
        deeper_allowed_cm=plan.catheter.deeper_allowed_cm,
        pressure_high=suction.pressure_mmhg_high,
        passes_high=suction.passes_high,
        pass_seconds_high=suction.pass_seconds_high,
        spo2_low=watch.spo2_low,
        fluid_target_ml=plan.fluids.target_ml,
        weight_kg=plan.child.weight_kg,
        delivery_days=plan.settings.delivery_days,
        stock=dict(plan.supplies),
        change_days={action: days for action, days in due.items() if days is not None},
        cylinder=plan.oxygen.cylinder,
        cylinder_psi=plan.oxygen.psi,
        oxygen_lpm=getattr(plan.oxygen, "flow_lpm", None),
        contact=plan.phones.on_call or plan.phones.doctor or plan.phones.emergency or "",
    )
    lent = {k: _highest_within(v) for k, v in (published or {}).items()}
    missing = {k: v for k, v in lent.items() if getattr(settings, k) is None}
    return replace(settings, published=frozenset(missing), **missing)  # type: ignore[arg-type]


def _highest_within(limit: float | Bound) -> float:
    if not isinstance(limit, Bound):
        return limit
    return limit.value if limit.inclusive else nextafter(limit.value, -inf)
