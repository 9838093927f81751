"""The care plan: made once, private, checked and shown."""

from pathlib import Path

import pytest

from tests.cli.conftest import Run, forget
from voicelog.careplan import load_plan


def test_a_plan_is_made_for_its_owner_alone(run: Run, home: Path) -> None:
    ran = run("plan", "new", "Robin", "--age", "infant")
    assert ran.code == 0
    plan = load_plan(home / "plan.toml")
    assert (plan.child.name, plan.child.age_group) == ("Robin", "infant")
    assert home.stat().st_mode & 0o077 == 0
    assert (home / "plan.toml").stat().st_mode & 0o077 == 0
    assert str(home / "plan.toml") in ran.out


def test_the_cautions_come_with_a_new_plan(run: Run) -> None:
    shown = run("plan", "new", "Robin").out
    for part in ("not a medical device", "care team", "local rules", "emergency plan"):
        assert part in shown
    assert "your local emergency number" in shown


def test_a_plan_is_never_written_over(run: Run, home: Path) -> None:
    run("plan", "new", "Robin")
    before = (home / "plan.toml").read_bytes()
    ran = run("plan", "new", "Other")
    assert ran.code == 1
    assert "already a plan" in ran.err
    assert (home / "plan.toml").read_bytes() == before


def test_a_plan_elsewhere(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert run("plan", "new", "Robin", "--path", "other.toml").code == 0
    assert "Robin" in run("plan", "check", "other.toml").out
    monkeypatch.setenv("VOICELOG_PLAN", str(tmp_path / "other.toml"))
    forget()
    assert "Robin" in run("plan", "check").out


def test_what_is_missing_is_listed(run: Run) -> None:
    run("plan", "new", "Robin")
    missing = run("plan", "check").out
    assert "phones.emergency" in missing
    assert "home.zone" in missing


@pytest.mark.usefixtures("planned")
def test_a_whole_plan_lacks_nothing(run: Run) -> None:
    assert run("plan", "check").out == "The plan for Juniper is readable.\n"


@pytest.mark.usefixtures("planned")
def test_each_limit_is_shown_with_whose_it_is(run: Run) -> None:
    rows = {line.split()[0]: line.split() for line in run("plan", "show").out.splitlines() if line}
    assert rows["pressure"] == ["pressure", "80", "100", "mmHg", "the", "plan"]
    assert rows["depth"] == ["depth", "6.5", "cm", "the", "plan"]


def test_without_the_plans_own_number_the_source_is_named(run: Run) -> None:
    run("plan", "new", "Robin")
    shown = run("plan", "show").out
    (pressure,) = [line for line in shown.splitlines() if "pressure" in line]
    assert "published: " in pressure
    assert "the plan" not in shown


def test_a_limit_that_the_plan_leaves_no_room_for_is_told(run: Run, home: Path) -> None:
    run("plan", "new", "Robin")
    path = home / "plan.toml"
    path.write_text(
        "[child]\nname = 'Robin'\nage_group = 'child'\n[suction]\npressure_mmhg_low = 120\n"
    )
    told = "No upper limit is checked for pressure_mmhg"
    assert told in run("plan", "check").out
    assert told in run("plan", "show").out
    ran = run("say", "two passes")
    assert ran.code == 0
    assert told in ran.err


def test_a_language_without_a_grammar_is_told(run: Run, home: Path) -> None:
    home.mkdir()
    (home / "plan.toml").write_text(
        "[child]\nname = 'Robin'\nage_group = 'child'\n[home]\nlanguage = 'xx'\n"
    )
    ran = run("plan", "check")
    assert ran.code == 1
    assert ran.err == "There is no grammar for the language 'xx': choose one of en, ko.\n"
