"""A new care plan, written from the same fields that will check it."""

from datetime import time
from typing import Any

import tomlkit
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from tomlkit.items import Table

from voicelog.careplan.plan import CarePlan
from voicelog.careplan.sections import AgeGroup, Caregiver

_HEAD = (
    "The care plan of one child. Fill it in with your care team.",
    "A line that starts with # is off: take the # away to use it.",
    "Numbers on lines that are off only show how to write them: they are not advice.",
    "A number you leave out falls back to a published one, and the log says so.",
)


def template(child: str, age_group: AgeGroup = "child") -> str:
    """Return TOML text of a new plan: loads as it is, with each key explained."""
    document = tomlkit.document()
    for line in _HEAD:
        document.add(tomlkit.comment(line))
    given = {"name": child, "age_group": age_group}
    for key, field in CarePlan.model_fields.items():
        document.add(tomlkit.nl())
        if key == "caregivers":
            for line in _caregiver_lines():
                document.add(tomlkit.comment(line))
        elif isinstance(field.annotation, type) and issubclass(field.annotation, BaseModel):
            document.add(key, _section(field.annotation, given if key == "child" else {}))
        else:
            document.add(key, _stock(field))
    return tomlkit.dumps(document)


def _section(model: type[BaseModel], given: dict[str, str]) -> Table:
    table = tomlkit.table()
    table.comment(_first_line(model))
    for key, field in model.model_fields.items():
        table.add(tomlkit.comment(field.description or ""))
        value = given.get(key, field.default)
        if value is None:
            table.add(tomlkit.comment(_line(key, field.examples)))
        else:
            table.add(key, _plain(value))
    return table


def _stock(field: FieldInfo) -> Table:
    table = tomlkit.table()
    table.comment(field.description or "")
    for key, value in (field.examples or [{}])[0].items():
        table.add(tomlkit.comment(_line(key, [value])))
    return table


def _caregiver_lines() -> list[str]:
    """Caregivers stay commented: an invented person must not speak for a real one."""
    lines = [_first_line(Caregiver), "[[caregivers]]"]
    for key, field in Caregiver.model_fields.items():
        lines.append(_line(key, field.examples or ["Rosa"]))
    return lines


def _line(key: str, examples: list[Any] | None) -> str:
    return f"{key} = {tomlkit.item(_plain((examples or [''])[0])).as_string()}"


def _plain(value: object) -> object:
    return value.strftime("%H:%M") if isinstance(value, time) else value


def _first_line(model: type[BaseModel]) -> str:
    return (model.__doc__ or "").partition("\n")[0]
