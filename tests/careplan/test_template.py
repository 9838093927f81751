"""A new plan loads, explains every key, and can be filled in by taking marks away."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel

from voicelog.careplan import CarePlan, parse_plan, template
from voicelog.careplan.sections import AgeGroup, Caregiver


@pytest.mark.parametrize("group", ["neonate", "infant", "child", "adolescent"])
def test_a_new_plan_loads_with_nothing_invented(group: AgeGroup) -> None:
    plan = parse_plan(template("Juniper", group), "new")
    assert plan == CarePlan.model_validate({"child": {"name": "Juniper", "age_group": group}})


@given(st.text(st.characters(exclude_categories=("Cc", "Cs")), min_size=1, max_size=40))
def test_any_name_survives(name: str) -> None:
    if name.strip() and not re.search(r"[\x00-\x1f]", name):
        assert parse_plan(template(name), "new").child.name == name.strip()


def sections() -> list[tuple[str, type[BaseModel]]]:
    found = [
        (name, field.annotation)
        for name, field in CarePlan.model_fields.items()
        if isinstance(field.annotation, type) and issubclass(field.annotation, BaseModel)
    ]
    return [*found, ("caregivers", Caregiver)]


@pytest.mark.parametrize(("name", "model"), sections())
def test_every_key_is_written_and_explained(name: str, model: type[BaseModel]) -> None:
    text = template("Juniper")
    assert f"[{name}]" in text
    for key, field in model.model_fields.items():
        assert re.search(rf"^(# )?{key} = ", text, re.MULTILINE), key
        assert field.description, key
        assert field.description.endswith("."), key
        if model is not Caregiver:
            assert f"# {field.description}\n" in text


def test_taking_every_mark_away_gives_a_plan_with_everything() -> None:
    text = re.sub(r"^# (?=[a-z0-9_]+ = |\[\[)", "", template("Juniper"), flags=re.MULTILINE)
    plan = parse_plan(text, "new")
    for name, model in sections():
        if name != "caregivers":
            part = getattr(plan, name)
            assert all(getattr(part, key) is not None for key in model.model_fields), name
    assert plan.caregivers[0].said == ("rosa", "mum")
    assert plan.supplies
