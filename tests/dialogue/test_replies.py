import re
from pathlib import Path
from typing import Any

import pytest

from tests.dialogue.bedside import ENGLISH
from voicelog import data
from voicelog.dialogue import Replies, load_replies
from voicelog.dialogue.replies import RepliesBrokenError, RepliesMissingError, check_replies
from voicelog.dialogue.template import Template
from voicelog.plainyaml import read_yaml

PLACE = data.folder("grammars") / "en" / "_replies.yaml"

# Slots of the record, with every value a choice may have.
CHOICES = {
    "colour": [
        "clear",
        "white",
        "cloudy",
        "yellow",
        "green",
        "brown",
        "tan",
        "pink",
        "red",
        "blood-tinged",
    ],
    "thickness": ["thin", "watery", "normal", "thick", "very thick", "plug"],
    "amount": ["none", "scant", "small", "moderate", "large", "copious"],
    "odour": ["none", "foul", "sweet"],
    "breath_sounds": ["clear", "gurgling", "coarse", "wheeze"],
    "child_response": [
        *["calm", "sleeping", "coughing", "gagging", "crying", "distressed"],
        "colour change",
    ],
}
NUMBERS = [
    "passes",
    "saline_drops",
    "depth_cm",
    "pressure_mmhg",
    "spo2",
    "heart_rate",
    "resp_rate",
    "temperature_c",
    "pass_seconds",
    "oxygen_lpm",
    "fluid_ml",
]
ACTIONS = [
    "start_suction",
    "pass_start",
    "pass_end",
    "finish",
    "undo",
    "repeat",
    "correct",
    "summary",
    "who",
    "help",
    "tube_change",
    "tie_change",
    "inner_cannula_change",
    "hme_change",
    "stoma_care",
    "equipment_check",
    "note",
    "emergency",
]

# Replies that may be longer, each for a reason.
MAY_BE_LONGER = {
    "help_idle": "lists what can be said",
    "help_open": "lists what can be said",
    "help_asking": "lists what can be said",
    "above_other": "names value, limit and whose in one sentence",
    "below_other": "names value, limit and whose in one sentence",
    "not_under_other": "names value, limit and whose in one sentence",
    "not_over_other": "names value, limit and whose in one sentence",
}
LONGEST = 12


def content() -> dict[str, Any]:
    loaded: dict[str, Any] = read_yaml(PLACE)
    return loaded


def texts(template: Template) -> list[str]:
    return [template.say, *([template.night] if template.night else [])]


def sentences(text: str) -> list[list[str]]:
    """Cut into sentences of words; a hole counts as two words, such as "twenty one"."""
    filled = re.sub(r"\{\w+\}", "some thing", text)
    parts = re.split(r"(?<=[.?!])\s+", filled)
    return [words for part in parts if (words := re.findall(r"[\w']+", part))]


def replies_said() -> list[tuple[str, str]]:
    said = [
        (name, text)
        for name in type(ENGLISH.says).model_fields
        for text in texts(getattr(ENGLISH.says, name))
    ]
    for table in (ENGLISH.reasons, ENGLISH.faults, ENGLISH.reminders):
        said += list(table.items())
    said += [(name, slot.ask) for name, slot in ENGLISH.slots.items() if slot.ask]
    return said


@pytest.mark.parametrize(("name", "text"), replies_said())
def test_sentences_are_short(name: str, text: str) -> None:
    if name not in MAY_BE_LONGER:
        assert max(len(words) for words in sentences(text)) <= LONGEST


def test_the_longer_ones_are_few_and_not_long_either() -> None:
    assert set(MAY_BE_LONGER) <= set(type(ENGLISH.says).model_fields)
    for name in MAY_BE_LONGER:
        for text in texts(getattr(ENGLISH.says, name)):
            assert max(len(words) for words in sentences(text)) <= 16


def syllables(word: str) -> int:
    """Count vowel groups, a silent last e left out; rough, as readability formulas take it."""
    groups = len(re.findall(r"[aeiouy]+", word.lower()))
    silent = word.lower().endswith("e") and not word.lower().endswith("le") and groups > 1
    return max(1, groups - silent)


def test_they_read_like_fifth_grade_or_easier() -> None:
    """Flesch-Kincaid grade = 0.39 words/sentence + 11.8 syllables/word - 15.59.

    Kincaid et al. 1975, formula from memory.
    """
    cut = [words for _, text in replies_said() for words in sentences(text)]
    words = [word for sentence in cut for word in sentence]
    per_sentence = len(words) / len(cut)
    grade = 0.39 * per_sentence + 11.8 * sum(map(syllables, words)) / len(words) - 15.59
    assert per_sentence <= 7
    assert grade <= 5


def test_night_texts_are_shorter() -> None:
    for name in type(ENGLISH.says).model_fields:
        reply = getattr(ENGLISH.says, name)
        if reply.night is not None:
            assert len(reply.night) <= len(reply.say)


@pytest.mark.parametrize("slot", [*CHOICES, *NUMBERS])
def test_every_slot_has_words(slot: str) -> None:
    assert slot in ENGLISH.slots


@pytest.mark.parametrize("slot", [*CHOICES, *NUMBERS])
def test_every_slot_has_a_place_in_the_read_back(slot: str) -> None:
    assert slot in ENGLISH.order or slot == "pass_seconds"


@pytest.mark.parametrize("action", ACTIONS)
def test_every_action_has_a_name(action: str) -> None:
    assert action in ENGLISH.actions


def test_every_slot_file_of_the_grammar_has_words() -> None:
    """A new slot is not heard back by the name of its file."""
    own = {"action", "answer", "caregiver", "note"}
    slots = {
        read_yaml(path)["slot"]
        for path in PLACE.parent.glob("*.yaml")
        if not path.name.startswith("_") and not path.name.endswith(".test.yaml")
    }
    assert slots - own <= set(ENGLISH.slots)


def test_nothing_claims_to_be_saved_but_what_is_said_after_a_commit() -> None:
    """Only these texts say "saved", and only the read-back uses them."""
    claiming = {
        name
        for name, text in replies_said()
        if re.search(r"\bsaved\b", text.lower()) and "not saved" not in text.lower()
    }
    assert claiming == {
        "saved",
        "saved_bare",
        "pass_saved",
        "note_saved",
        "caregiver",
        "closed",
        "incomplete",
        "emergency_saved",
    }


@pytest.mark.parametrize(
    ("break_it", "why"),
    [
        (lambda c: c["says"].pop("saved"), "says.saved: Field required"),
        (lambda c: c["says"].update(saved="{what} {wat}. Saved."), "'{wat}' is not known here"),
        (lambda c: c["says"].update(sade="x"), "says.sade"),
        (lambda c: c["says"].update(saved="{what"), "says.saved"),
        (lambda c: c["slots"]["passes"].update(numbers="roman"), "no numbers 'roman'"),
        (lambda c: c["numerals"]["styles"].update(plain={0: "zero"}), "no word for 1"),
        (lambda c: c["numerals"].update(styles={}), "plain"),
        (lambda c: c["reasons"].pop("unknown"), "reasons"),
        (lambda c: c["slots"]["passes"].update(says="{amount} passes"), "'{amount}'"),
    ],
)
def test_a_broken_file_is_refused_with_the_place(break_it: Any, why: str) -> None:
    broken = content()
    break_it(broken)
    with pytest.raises(RepliesBrokenError, match=re.escape(why)):
        check_replies(broken, "en")


def test_a_missing_language() -> None:
    with pytest.raises(RepliesMissingError, match="'xx'"):
        load_replies("xx")


@pytest.mark.parametrize("raw", [b"says: [", b"\xff\xfe\x00"])
def test_an_unreadable_file(tmp_path: Path, raw: bytes) -> None:
    (tmp_path / "en").mkdir()
    (tmp_path / "en" / "_replies.yaml").write_bytes(raw)
    with pytest.raises(RepliesBrokenError):
        load_replies("en", tmp_path)


def test_it_loads() -> None:
    assert isinstance(load_replies("en"), Replies)
