"""Read a care plan from its file."""

import re
import tomllib
from pathlib import Path

from pydantic import ValidationError

from voicelog.careplan.errors import PlanInvalidError, PlanMissingError, PlanUnreadableError
from voicelog.careplan.plan import CarePlan
from voicelog.careplan.problems import first_problem


def load_plan(path: Path) -> CarePlan:
    """Read and check one child's plan.

    Raises:
        PlanMissingError: no such file.
        PlanUnreadableError: cannot be opened, or is not TOML.
        PlanInvalidError: a value cannot be right; the first problem is named.
    """
    try:
        # Some editors put a mark in front of UTF-8 text; TOML does not allow it.
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise PlanMissingError(str(path)) from error
    except UnicodeDecodeError as error:
        raise PlanUnreadableError(str(path), "save it as plain UTF-8 text.") from error
    except OSError as error:
        why = f"{error.strerror or error}; check the place and its permissions."
        raise PlanUnreadableError(str(path), why) from error
    return parse_plan(text, str(path))


def parse_plan(text: str, place: str) -> CarePlan:
    """Check the text of a plan; ``place`` is what errors call it.

    Raises:
        PlanUnreadableError: not TOML.
        PlanInvalidError: a value cannot be right; the first problem is named.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line = re.search(r"line \d+", str(error))
        where = line.group() if line else "the last line"
        raise PlanUnreadableError(place, f"look at {where} ({error}).") from error
    try:
        return CarePlan.model_validate(data)
    except ValidationError as error:
        raise PlanInvalidError(place, first_problem(error)) from error


def gaps(plan: CarePlan) -> tuple[str, ...]:
    """List what a plan should still be told before it is relied on, in plain words."""
    wanted = {
        "phones.emergency: the number to call in an emergency": plan.phones.emergency,
        "catheter.depth_cm: how deep to go, or depth is never checked": plan.catheter.depth_cm,
        "watch.spo2_low: the child's own low oxygen number": plan.watch.spo2_low,
        "suction.pressure_mmhg_high: the child's own top pressure": plan.suction.pressure_mmhg_high,
        "caregivers: who speaks to the log": plan.caregivers,
        "home.zone: your own time zone": plan.home.zone != "UTC",
    }
    return tuple(line for line, value in wanted.items() if not value)
