"""The child's own numbers: one TOML file a child, checked when it is read."""

from voicelog.careplan.errors import PlanInvalidError, PlanMissingError, PlanUnreadableError
from voicelog.careplan.loading import gaps, load_plan, parse_plan
from voicelog.careplan.plan import AgeGroup, CarePlan
from voicelog.careplan.template import template

__all__ = [
    "AgeGroup",
    "CarePlan",
    "PlanInvalidError",
    "PlanMissingError",
    "PlanUnreadableError",
    "gaps",
    "load_plan",
    "parse_plan",
    "template",
]
