"""The parts of a care plan.

Each field's description is the comment beside it in a new plan and the help in
an error, so it is written for a parent.  ``ge`` and ``le`` are what is possible
at all, not what is healthy (own judgement, no source): they catch a slipped
digit or the wrong unit.  A number left out falls back to a published one.
"""

from datetime import date, time
from typing import Annotated, Literal, Self
from zoneinfo import ZoneInfo

from pydantic import Field, Strict, StringConstraints, field_validator, model_validator

from voicelog.entries import Frozen

AgeGroup = Literal["neonate", "infant", "child", "adolescent"]
Cylinder = Literal["D", "E", "M", "H", "K", "G"]

Whole = Annotated[int, Strict()]
Number = Annotated[float, Strict(), Field(allow_inf_nan=False)]
Flag = Annotated[bool, Strict()]
Name = Annotated[
    str,
    StringConstraints(
        strip_whitespace=True, min_length=1, max_length=40, pattern=r"^[^\x00-\x1f]*$"
    ),
]
Phone = Annotated[str, StringConstraints(pattern=r"^\+?[0-9][0-9 ().-]{1,24}$")]
Days = Annotated[int, Strict(), Field(ge=1, le=365)]


class Section(Frozen):
    """A part of the plan; a ``_low`` key never exceeds its ``_high`` key."""

    @model_validator(mode="after")
    def _low_below_high(self) -> Self:
        for key in type(self).model_fields:
            stem, found, _ = key.rpartition("_low")
            low, high = getattr(self, key), getattr(self, f"{stem}_high", None)
            if found and low is not None and high is not None and low >= high:
                raise ValueError(
                    f"{key} is {low} and {stem}_high is {high}: the low one must be smaller."
                )
        return self


class Child(Section):
    """Who the plan is for."""

    name: Name = Field(description="The name you call the child. It stays on this computer.")
    age_group: AgeGroup = Field(
        description="neonate (to 4 weeks), infant (to 1 year), child, or adolescent (from 12)."
    )
    born: date | None = Field(
        None, description="Day of birth, as year-month-day, no quotes.", examples=[date(2025, 3, 9)]
    )
    weight_kg: Number | None = Field(
        None, ge=0.4, le=200, description="Weight in kilograms.", examples=[8.4]
    )


class Tube(Section):
    """The tracheostomy tube, as marked on its flange."""

    inner_diameter_mm: Number | None = Field(
        None, ge=2, le=10, description="Width inside the tube in millimetres.", examples=[4.0]
    )
    length_mm: Number | None = Field(
        None, ge=20, le=150, description="Length of the tube in millimetres.", examples=[41]
    )


class Catheter(Section):
    """The suction catheter."""

    size_fr: Whole | None = Field(
        None, ge=4, le=18, description="Catheter size in French.", examples=[8]
    )
    depth_cm: Number | None = Field(
        None,
        ge=1,
        le=25,
        description="How deep to go, in centimetres, as measured.",
        examples=[6.0],
    )
    deeper_allowed_cm: Number = Field(
        0.0, ge=0, le=2, description="How much deeper is still fine, in centimetres."
    )


class Suction(Section):
    """How a pass is made."""

    pressure_mmhg_low: Whole | None = Field(
        None, ge=20, le=300, description="Lowest pressure in mmHg, no minus sign.", examples=[80]
    )
    pressure_mmhg_high: Whole | None = Field(
        None, ge=20, le=300, description="Highest pressure in mmHg, no minus sign.", examples=[100]
    )
    pass_seconds_high: Number | None = Field(
        None, ge=1, le=60, description="Longest pass in seconds.", examples=[10]
    )
    passes_usual: Whole | None = Field(
        None, ge=1, le=10, description="Passes it usually takes.", examples=[2]
    )
    passes_high: Whole | None = Field(
        None, ge=1, le=10, description="Most passes in one go.", examples=[3]
    )
    saline_drops_low: Whole | None = Field(
        None, ge=1, le=40, description="Fewest drops of saline when it is used.", examples=[3]
    )
    saline_drops_high: Whole | None = Field(
        None, ge=1, le=40, description="Most drops of saline when it is used.", examples=[5]
    )

    @model_validator(mode="after")
    def _usual_within_most(self) -> Self:
        usual, most = self.passes_usual, self.passes_high
        if usual is not None and most is not None and usual > most:
            raise ValueError(
                f"passes_usual is {usual} and passes_high is {most}: "
                "usual cannot be more than most."
            )
        return self


class Watch(Section):
    """The child's own alarm numbers."""

    spo2_low: Whole | None = Field(
        None, ge=50, le=100, description="Warn below this oxygen level, in percent.", examples=[92]
    )
    heart_rate_low: Whole | None = Field(
        None, ge=20, le=300, description="Warn below this heart rate.", examples=[90]
    )
    heart_rate_high: Whole | None = Field(
        None, ge=20, le=300, description="Warn above this heart rate.", examples=[180]
    )
    resp_rate_low: Whole | None = Field(
        None, ge=4, le=120, description="Warn below this many breaths a minute.", examples=[20]
    )
    resp_rate_high: Whole | None = Field(
        None, ge=4, le=120, description="Warn above this many breaths a minute.", examples=[50]
    )
    fever_c: Number | None = Field(
        None,
        ge=36,
        le=42,
        description="Fever starts here, in Celsius: 100.4 F is 38.0 C.",
        examples=[38.0],
    )


class Home(Section):
    """Where and when."""

    zone: str = Field("UTC", description="Your time zone, such as America/Chicago.")
    wake: time = Field(time(7, 0), description="When the child wakes.")
    night_start: time = Field(time(22, 0), description="When the night begins.")
    night_end: time = Field(time(7, 0), description="When the night ends.")
    language: str = Field(
        "en", pattern=r"^[a-z]{2}$", description="Language you speak to it, as two letters."
    )

    @field_validator("zone")
    @classmethod
    def _known_zone(cls, zone: str) -> str:
        try:
            ZoneInfo(zone)
        except (LookupError, ValueError, OSError) as error:
            raise ValueError("give a zone such as America/Chicago or Europe/Paris.") from error
        return zone

    @model_validator(mode="after")
    def _night_has_length(self) -> Self:
        if self.night_start == self.night_end:
            raise ValueError(
                f"night_start and night_end are both {self.night_start:%H:%M}: make them differ."
            )
        return self


class Phones(Section):
    """Who to call. The log only says these; it never dials."""

    emergency: Phone | None = Field(
        None, description="Your emergency number. Fill this in.", examples=["911"]
    )
    on_call: Phone | None = Field(
        None, description="The nurse or team on call.", examples=["555-0142"]
    )
    doctor: Phone | None = Field(None, description="The child's doctor.", examples=["555-0117"])


class Caregiver(Section):
    """Someone who speaks to the log."""

    name: Name = Field(description="The name kept in the log.")
    spoken: tuple[Name, ...] = Field(
        (), description="Other names they say for themselves.", examples=[["mum"]]
    )

    @property
    def said(self) -> tuple[str, ...]:
        """Every spoken form, lower case, the name first."""
        return tuple(dict.fromkeys(form.lower() for form in (self.name, *self.spoken)))


class Settings(Section):
    """How the log behaves."""

    ask_missing: Flag = Field(True, description="Ask once for what was not said.")
    read_back: Flag = Field(True, description="Say back what was saved.")
    recheck_minutes: Whole = Field(
        15, ge=1, le=240, description="Ask how the child is this many minutes after a warning."
    )
    days_between_false_alarms: Days = Field(
        200, description="About how many days between false alarms about change. Keep it large."
    )
    delivery_days: Days = Field(7, description="Days a supply order takes to come.")
    learning_days: Days = Field(14, description="Days of log before it knows the child's normal.")


class Fluids(Section):
    """Daily fluid, as the care team set it."""

    target_ml: Whole | None = Field(
        None, ge=50, le=6000, description="Fluid for one day in millilitres.", examples=[800]
    )


class ChangeDays(Section):
    """Days between changes; nothing is due for a line left out."""

    tube: Days | None = Field(None, description="Tube change.", examples=[7])
    ties: Days | None = Field(None, description="Tie change.", examples=[1])
    hme: Days | None = Field(None, description="HME (filter nose) change.", examples=[1])
    humidifier: Days | None = Field(None, description="Humidifier cleaning.", examples=[7])


class Oxygen(Section):
    """The oxygen cylinder in use, if there is one."""

    cylinder: Cylinder | None = Field(
        None, description="Size letter: D, E, M, H, K or G.", examples=["E"]
    )
    psi: Whole | None = Field(
        None, ge=0, le=4000, description="Pressure on its gauge when last read.", examples=[1500]
    )
