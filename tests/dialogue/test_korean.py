"""The Korean words say everything that the English ones say, in Korean.

The wording was written for this log by a speaker of Korean; there is no outside source to
compare it with, so what is checked is that nothing is missing and nothing stays English.
"""

import re
from collections.abc import Iterator
from typing import Any

import pytest

from voicelog import data
from voicelog.baseline.words import load_words
from voicelog.careplan import CarePlan
from voicelog.dialogue import load_replies
from voicelog.dialogue.phrasing import Phrasing
from voicelog.grammar import load
from voicelog.limits import limits_for
from voicelog.plainyaml import read_yaml
from voicelog.published import load_published
from voicelog.voice.speakable import speakable

ROOT = data.folder("grammars")
KOREAN = Phrasing(load_replies("ko"))
LATIN = re.compile("[A-Za-z]")
UNITS = {"cm", "mmHg", "psi"}
"""Written units; ``speakable`` says them."""


def _texts(node: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    if isinstance(node, dict):
        for key, value in node.items():
            yield from _texts(value, (*path, str(key)))
    elif isinstance(node, str):
        yield path, node


@pytest.mark.parametrize("file", ["_replies", "_reasons", "_speech"])
def test_says_all_that_english_says_with_the_same_names(file: str) -> None:
    english = dict(_texts(read_yaml(ROOT / "en" / f"{file}.yaml")))
    korean = dict(_texts(read_yaml(ROOT / "ko" / f"{file}.yaml")))
    for path, text in english.items():
        grammatical = {"numerals", "unit", "verb", "values", "voice"} & set(path)
        if grammatical:
            continue
        assert path in korean, path
        names = set(re.findall(r"{(\w+)}", text)) - {"verb"}
        assert names == set(re.findall(r"{(\w+)}", korean[path])), path


@pytest.mark.parametrize("file", ["_replies", "_reasons"])
def test_stays_korean(file: str) -> None:
    for path, text in _texts(read_yaml(ROOT / "ko" / f"{file}.yaml")):
        if path[-1] in {"language", "source", "numbers", "clock"}:
            continue
        words = set(re.sub(r"{\w+}", "", text).split())
        assert not any(LATIN.search(word) for word in words - UNITS), (path, text)


def test_every_value_that_can_be_said_is_read_back_in_korean() -> None:
    for file in load("ko").spec.slots:
        groups = (*file.phrases, *file.asked)
        values = {*file.values, *(group.fixed for group in groups if group.fixed is not None)}
        for value in values:
            name = str(value)
            said = KOREAN.action(name) if file.slot == "action" else KOREAN.phrase(file.slot, value)
            assert not LATIN.search(said), (file.slot, value, said)


@pytest.mark.parametrize(
    ("slots", "said"),
    [
        ({"passes": 2}, "두 번"),
        ({"passes": 20}, "스무 번"),
        ({"saline_drops": 3}, "식염수 세 방울"),
        ({"saline_drops": 25}, "식염수 스물다섯 방울"),
        ({"spo2": 97}, "산소포화도 구십칠"),
        ({"heart_rate": 120}, "심박수 백이십"),
        ({"temperature_c": 38.2}, "체온 삼십팔 점 이 도"),
        ({"fluid_ml": 1250}, "수분 천이백오십 밀리리터"),
        ({"colour": "white", "passes": 2}, "두 번, 하얀색"),
        ({"odour": "none"}, "냄새 없음"),
    ],
)
def test_counts_in_native_and_measures_in_sino_korean_numbers(
    slots: dict[str, Any], said: str
) -> None:
    assert KOREAN.listing(slots) == said
    # and the log understands its own read-back
    assert load("ko").parse(said).slots == slots


def test_written_units_are_said_in_korean() -> None:
    assert speakable("SpO2 91%", "ko") == "산소포화도 구십일 퍼센트"
    assert speakable("깊이 6.5 cm", "ko") == "깊이 육 점 오 센티미터"
    assert speakable("전화 119", "ko") == "전화 일 일 구"


@pytest.mark.parametrize("group", ["neonate", "infant", "child", "adolescent"])
def test_every_source_of_a_limit_has_a_korean_name(group: str) -> None:
    plan = CarePlan.model_validate({"child": {"name": "하늘", "age_group": group}})
    for limit in limits_for(plan, load_published()).values():
        for bound in (limit.low, limit.high):
            if bound is not None and bound.whose == "published":
                assert bound.source in KOREAN.replies.sources, (limit.slot, bound.source)


def test_findings_are_worded() -> None:
    assert load_words("ko").text("today", "count", count=3) == "오늘 지금까지 3회."
