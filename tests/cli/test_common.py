"""Which language is spoken, and which engine hears it."""

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run, forget
from voicelog.careplan import load_plan
from voicelog.cli import common
from voicelog.cli.common import EngineLanguageError

TOLD = "VOICELOG_LANGUAGE is 'ko' and the care plan says 'en': 'ko' is spoken now."


@pytest.fixture
def korean(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VOICELOG_LANGUAGE", "ko")
    forget()


@pytest.mark.usefixtures("planned", "korean")
@pytest.mark.parametrize("options", [(), ("--dry-run",)], ids=["into the log", "dry"])
def test_the_setting_goes_before_the_plan_and_says_so(run: Run, options: tuple[str, ...]) -> None:
    ran = run("say", "--json", *options, "두 번")
    assert ran.code == 0
    assert ran.err.splitlines().count(TOLD) == 1
    assert json.loads(ran.out)["slots"] == {"passes": 2}
    assert ("저장했어요" in ran.err) is not bool(options)


@pytest.mark.usefixtures("korean")
def test_a_plan_that_agrees_needs_no_word(run: Run, planned: Path) -> None:
    plan = planned / "plan.toml"
    plan.write_text(plan.read_text().replace('language = "en"', 'language = "ko"'))
    ran = run("say", "--dry-run", "두 번")
    assert (ran.code, ran.err) == (0, "")


def test_the_plan_decides_where_nothing_is_set(run: Run, planned: Path) -> None:
    plan = planned / "plan.toml"
    plan.write_text(plan.read_text().replace('language = "en"', 'language = "ko"'))
    assert common.language(load_plan(plan)) == "ko"
    ran = run("say", "두 번")
    assert "저장했어요" in ran.out
    assert ran.err == ""


@pytest.mark.usefixtures("home")
def test_without_both_it_is_english() -> None:
    assert common.language() == "en"


@pytest.mark.usefixtures("home")
def test_the_language_picks_the_engine_unless_one_is_chosen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert (common.engine_name("en"), common.engine_name("ko")) == ("moonshine", "vosk")
    assert common.engine_name("en", "vosk") == "vosk"
    with pytest.raises(EngineLanguageError, match="choose the engine 'vosk'"):
        common.engine_name("ko", "moonshine")
    monkeypatch.setenv("VOICELOG_ENGINE", "vosk")
    forget()
    assert common.engine_name("en") == "vosk"
