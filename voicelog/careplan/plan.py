"""The care plan as a whole."""

from typing import Annotated, Self

from pydantic import Field, model_validator

from voicelog.careplan.sections import (
    AgeGroup,
    Caregiver,
    Catheter,
    ChangeDays,
    Child,
    Fluids,
    Home,
    Name,
    Oxygen,
    Phones,
    Section,
    Settings,
    Suction,
    Tube,
    Watch,
    Whole,
)

__all__ = ["AgeGroup", "CarePlan"]

Stock = Annotated[Whole, Field(ge=0, le=10_000)]


class CarePlan(Section):
    """One child's plan; every number here overrides the published one.

    ``supplies`` maps a kind of supply to how many are in the house.
    """

    child: Child
    tube: Tube = Tube()
    catheter: Catheter = Catheter()
    suction: Suction = Suction()
    watch: Watch = Watch()
    home: Home = Home()
    phones: Phones = Phones()
    caregivers: tuple[Caregiver, ...] = ()
    settings: Settings = Settings()
    fluids: Fluids = Fluids()
    change_days: ChangeDays = ChangeDays()
    supplies: dict[Name, Stock] = Field(
        default_factory=dict,
        description="How many of each supply you have.",
        examples=[{"catheters": 60, "saline": 40, "hme": 30, "ties": 10}],
    )
    oxygen: Oxygen = Oxygen()

    @model_validator(mode="after")
    def _catheter_fits_tube(self) -> Self:
        inner, size = self.tube.inner_diameter_mm, self.catheter.size_fr
        # French size = three times the outer diameter in mm (standard; from memory).
        if inner is not None and size is not None and size / 3 >= inner:
            raise ValueError(
                f"catheter.size_fr is {size}, which is too wide for a tube of {inner} mm: "
                "check both sizes."
            )
        return self

    @model_validator(mode="after")
    def _one_owner_a_name(self) -> Self:
        owners: dict[str, str] = {}
        for person in self.caregivers:
            for form in person.said:
                if form in owners:
                    raise ValueError(
                        f"caregivers {owners[form]} and {person.name} are both called "
                        f"'{form}': give one of them another name."
                    )
                owners[form] = person.name
        return self
