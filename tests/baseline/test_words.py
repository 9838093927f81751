import re
import string

import pytest
import yaml

from voicelog import data
from voicelog.baseline.reasons import REGISTRY, Finding
from voicelog.baseline.settings import Settings
from voicelog.baseline.words import NoReasonWordsError, load_words

WORDS = load_words()
REASONS = WORDS.raw["reasons"]
SOURCES = yaml.safe_load((data.folder("shared") / "sources.yaml").read_text(encoding="utf-8"))
# Names of illnesses and certainties have no place in what the log says.
DIAGNOSES = re.compile(
    r"\b(infect\w*|pneumonia|bronch\w*|tracheitis|sepsis|flu|covid|dehydrat\w*|aspirat\w*|"
    r"diagnos\w*|you have|the child has|it means|disease|illness)\b",
    re.IGNORECASE,
)


def test_every_reason_has_words_and_every_word_a_reason() -> None:
    assert set(REASONS) == set(REGISTRY)


@pytest.mark.parametrize("name", sorted(REGISTRY))
def test_words_are_complete_sourced_and_never_a_diagnosis(name) -> None:
    entry = REASONS[name]
    assert {"say", "short", "guidance", "source"} <= set(entry) <= {
        "say", "short", "ask", "guidance", "source",
    }  # fmt: skip
    assert entry["source"] in SOURCES
    assert len(entry["short"].split()) <= 10
    assert not DIAGNOSES.search(" ".join(entry.values()))
    if "ask" in entry:
        assert entry["ask"].endswith("?")  # what may be behind it is only asked
    fields = {f for _, f, _, _ in string.Formatter().parse(entry["say"]) if f}
    assert fields, "each carries numbers"


def test_words_are_short_and_plain() -> None:
    for entry in REASONS.values():
        for text in entry.values():
            for sentence in re.split(r"[.?!]", text):
                assert len(sentence.split()) <= 18
            assert not re.search(r"\w{15,}", text)


def finding() -> Finding:
    return Finding(
        "pressure", "look", {"n": 2, "of": 9, "most": 120, "limit": 100, "whose": "plan"}
    )


def test_a_finding_ends_with_whom_to_call() -> None:
    text = WORDS.full(finding(), Settings(contact="555 0142"))
    assert text == (
        "Pressure was above the plan's limit of 100, in 2 of 9. The most was 120. "
        "Does the gauge need to be set again? "
        "The A A R C guideline of 2022: use the lowest pressure that clears. "
        "If you are worried, call 555 0142."
    )
    assert WORDS.full(finding(), Settings()).endswith("call your care team.")


def test_it_says_whose_limit_and_that_a_day_is_tagged() -> None:
    published = Finding("pressure", "look", {**finding().numbers, "whose": "published"})
    text = WORDS.full(published, Settings(), frozenset({"sick", "fever"}))
    assert "the published limit of 100" in text
    assert "Today is marked fever, sick." in text


def test_common_practice_is_said_to_have_no_source() -> None:
    text = WORDS.full(Finding("watery", "look", {"n": 5, "of": 6}), Settings())
    assert "Common practice, no source: look at the humidifier" in text


def test_a_missing_language_is_told() -> None:
    with pytest.raises(NoReasonWordsError, match="no words for 'xx'"):
        load_words("xx")


def test_a_missing_number_is_not_papered_over() -> None:
    with pytest.raises(KeyError):
        WORDS.short(Finding("odour", "call", {}))
