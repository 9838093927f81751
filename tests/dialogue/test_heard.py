"""Sentences as they are typed or recognised, through the real grammar into the conversation."""

import pytest

from tests.dialogue.bedside import Bedside, spoken
from voicelog.dialogue.events import Asked, NotUnderstood, Understood
from voicelog.grammar import Grammar, load


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    return load("en", names=["rosa", "mum", "tom", "dad"])


def hear(bed: Bedside, grammar: Grammar, text: str) -> list[str]:
    """Hear one sentence in the live state the conversation asked for."""
    bed.at += 3
    live = "idle" if bed.state.live == "idle" else "open"
    found = grammar.parse(text, live=live, expected=bed.state.expected)
    when = {"at": bed.at, "now": bed.now}
    if found.outcome == "understood":
        note = {"note": found.note} if found.note else {}
        event = Understood(**when, slots={**found.slots, **note}, text=text)  # type: ignore[arg-type]
        return spoken(bed.send(event, text))
    if found.outcome == "ask":
        asked = Asked(**when, candidates=found.alternatives, known=found.slots, text=text)  # type: ignore[arg-type]
        return spoken(bed.send(asked, text))
    return spoken(bed.send(NotUnderstood(**when, text=text), text))  # type: ignore[arg-type]


def test_a_procedure_in_words(grammar: Grammar) -> None:
    bed = Bedside()
    course = [
        ("what a long night", []),
        ("start suction", ["Started. "]),
        ("start pass", []),
        ("pass done", ["Pass one, three seconds. Saved."]),
        ("white and thick, three drops", ["White, thick, three drops. Saved."]),
        ("change colour to yellow", ["Yellow, was white. Saved."]),
        ("fifteen", ["Fifteen what?"]),
        ("neither of them", ["I left the rest out."]),
        ("pressure fifty", ["Pressure fifty. Saved.", "Pressure 50 is below the plan's 80."]),
        ("done", ["Saved: one pass, yellow, thick, three drops. Pressure"]),
    ]
    for text, wanted in course:
        said = hear(bed, grammar, text)
        assert len(said) == len(wanted), (text, said)
        assert all(reply.startswith(start) for reply, start in zip(said, wanted, strict=True))
    assert bed.state.suction is None


def test_answers_in_words(grammar: Grammar) -> None:
    bed = Bedside()
    hear(bed, grammar, "start suction")
    assert hear(bed, grammar, "finish") == ["How many passes?"]
    assert hear(bed, grammar, "two") == ["Two passes. Saved.", "What colour?"]
    assert hear(bed, grammar, "skip it") == ["Thin, normal, or thick?"]
    assert hear(bed, grammar, "thin")[-1] == "Saved: two passes, thin."


def test_the_first_and_the_second(grammar: Grammar) -> None:
    bed = Bedside()
    hear(bed, grammar, "start suction")
    assert hear(bed, grammar, "a couple of passes") == ["Two, or three?"]
    assert hear(bed, grammar, "the second") == ["Three passes. Saved."]


def test_woken_for_a_reading(grammar: Grammar) -> None:
    bed = Bedside()
    assert hear(bed, grammar, "sats ninety four") == []
    assert hear(bed, grammar, "bedside log, sats ninety four") == ["Sats ninety four. Saved."]
    assert hear(bed, grammar, "bedside log") == []
    assert hear(bed, grammar, "heart rate one twenty") == ["Heart rate one hundred twenty. Saved."]
    assert bed.kinds == ["values", "values"]


def test_who_and_note_and_emergency(grammar: Grammar) -> None:
    bed = Bedside()
    assert hear(bed, grammar, "bedside log, this is mum") == ["Rosa now. Saved."]
    assert hear(bed, grammar, "bedside log, note he slept well") == ["Note: he slept well. Saved."]
    assert hear(bed, grammar, "emergency")[0].startswith("Follow the emergency plan. Call 9 1 1.")
