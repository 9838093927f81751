"""The language is data: in another one, not a word of English is left."""

import re
from typing import Any

from tests.dialogue.bedside import FULL_PLAN, Bedside, setting, spoken
from tests.dialogue.night_script import play
from tests.dialogue.test_replies import CHOICES, content
from voicelog.dialogue import Replies
from voicelog.dialogue.replies import check_replies

LETTERS = {letter: chr(0x10D0 + place) for place, letter in enumerate("abcdefghijklmnopqrstuvwxyz")}
AS_THEY_ARE = {"language", "clock", "numbers", "order", "plural"}


def foreign(text: str) -> str:
    """Put every letter outside a hole into a script that English does not use."""
    parts = re.split(r"(\{\w+\})", text)
    return "".join(
        part if part.startswith("{") else "".join(LETTERS.get(c.lower(), c) for c in part)
        for part in parts
    )


def translated(node: Any) -> Any:
    if isinstance(node, str):
        return foreign(node)
    if isinstance(node, dict):
        return {
            key: value if key in AS_THEY_ARE else translated(value) for key, value in node.items()
        }
    return node


def made_up_language() -> Replies:
    replies = translated(content())
    for slot, values in CHOICES.items():
        replies["slots"][slot]["words"] = {value: foreign(value) for value in values}
    return check_replies(replies, "xx")


def test_a_night_in_another_language_has_no_english_in_it() -> None:
    bed = Bedside(setting=setting(replies=made_up_language()))
    play(bed)
    said = [text for text in spoken(bed.actions) if text != "Four suctions tonight."]
    assert len(said) > 30
    own = {name["name"] for name in FULL_PLAN["caregivers"]}  # type: ignore[attr-defined]
    english = {word for text in said for word in re.findall(r"[A-Za-z]+", text)}
    assert english <= own


def test_the_same_is_stored_in_any_language() -> None:
    english, other = Bedside(), Bedside(setting=setting(replies=made_up_language()))
    play(english)
    play(other)
    assert [row.entry for row in english.rows] == [row.entry for row in other.rows]
