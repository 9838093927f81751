"""The template language: what it reads, and what it refuses with a reason."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.grammar.sample import every_way
from voicelog.grammar.template import (
    Alt,
    Hole,
    Seq,
    TemplateError,
    Word,
    can_be_empty,
    fill,
    parse,
    words,
)

RULES = {"is": "(is|was)", "it_is": "it <is>", "loop": "a <loop>"}


@pytest.mark.parametrize(
    ("template", "ways"),
    [
        ("white", ["white"]),
        ("[very] thick", ["thick", "very thick"]),
        ("(thin|runny) stuff", ["thin stuff", "runny stuff"]),
        ("<it_is> white", ["it is white", "it was white"]),
        ("blood-tinged", ["blood tinged"]),
        (
            "[a|the] [big] plug",
            ["plug", "big plug", "a plug", "a big plug", "the plug", "the big plug"],
        ),
    ],
)
def test_every_way_to_say_a_template(template: str, ways: list[str]) -> None:
    assert every_way(parse(template, RULES)) == ways


@pytest.mark.parametrize(
    ("template", "reason"),
    [
        ("(a|b", r"'\)' is missing"),
        ("[a", r"'\]' is missing"),
        ("a)", "unexpected"),
        ("<nothing>", "there is no rule <nothing>"),
        ("<loop>", "uses itself"),
    ],
)
def test_a_broken_template_says_why(template: str, reason: str) -> None:
    with pytest.raises(TemplateError, match=reason):
        parse(template, RULES)


def test_a_hole_is_filled_everywhere() -> None:
    tree = fill(parse("[about] {n} (drops|drop)", RULES), Word("three"))
    assert "about three drops" in every_way(tree)
    assert words(tree) == {"about", "three", "drops", "drop"}


def test_empty_is_known() -> None:
    assert can_be_empty(parse("[a] [b]", RULES))
    assert not can_be_empty(parse("[a] b", RULES))
    assert isinstance(parse("{value}", RULES), Hole)
    assert isinstance(parse("a b", RULES), Seq)
    assert isinstance(parse("(a|b)", RULES), Alt)


@given(st.text(alphabet="ab[](|)<>{} ", max_size=20))
def test_any_text_is_read_or_refused(template: str) -> None:
    with suppress(TemplateError):
        assert every_way(parse(template, RULES), 50) is not None
