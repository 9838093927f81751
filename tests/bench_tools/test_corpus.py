"""The bench's corpus asks what it claims to ask."""

from collections import Counter

import pytest

from bench import synth
from bench.utterances import load, split_of
from bench.voices import VOICES

# the slots and values of the record, as grammars/ and the care plan name them
VALUES = {
    "colour": "clear|white|cloudy|yellow|green|brown|tan|pink|red|blood-tinged",
    "thickness": "thin|watery|normal|thick|very thick|plug",
    "amount": "none|scant|small|moderate|large|copious",
    "odour": "none|foul|sweet",
    "breath_sounds": "clear|gurgling|coarse|wheeze",
    "child_response": "calm|sleeping|coughing|gagging|crying|distressed|colour change",
    "action": "start_suction|pass_start|pass_end|finish|undo|repeat|correct|summary|help"
    "|tube_change|tie_change|inner_cannula_change|hme_change|stoma_care|equipment_check|note"
    "|emergency",
}
NUMBERS = {
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
}
MORE = {"saline_ml", "catheters_on_hand", "gloves_on_hand", "saline_on_hand", "stoma"}
"""What a home may log beside these."""
UTTERANCES = load()
ENTRIES = [u for u in UTTERANCES if u.expect == "entry"]


def test_sizes():
    styles = Counter(u.style for u in UTTERANCES)
    assert styles["plain"] >= 80
    assert styles["everyday"] >= 80
    assert styles["plain"] + styles["everyday"] >= 160
    assert styles["ask"] >= 40
    assert styles["outside"] >= 40
    assert all(n >= 20 for n in Counter((u.style, u.split) for u in UTTERANCES).values())


def words(text):
    return "".join(c for c in text.lower() if c.isalpha() or c in " '").split()


def test_no_sentence_twice():
    texts = Counter(" ".join(words(u.text)) for u in UTTERANCES)
    assert not [text for text, n in texts.items() if n > 1]


def test_what_is_held_out_follows_from_the_words():
    """Sheets written for development alone may hold any sentence; test holds its hash's."""
    assert all(split_of(u.text) == "test" for u in UTTERANCES if u.split == "test")


def test_only_entries_have_slots():
    assert all(bool(u.slots) == (u.expect == "entry") for u in UTTERANCES)


@pytest.mark.parametrize("style", ["plain", "everyday"])
def test_both_styles_fill_every_slot(style):
    said = {slot for u in ENTRIES if u.style == style for slot in u.slots}
    assert {*VALUES, *NUMBERS} <= said <= {*VALUES, *NUMBERS, *MORE}


@pytest.mark.parametrize("slot", VALUES)
def test_every_value_is_said(slot):
    said = {u.slots[slot] for u in ENTRIES if slot in u.slots}
    assert said == set(VALUES[slot].split("|"))


def test_values_have_the_right_kind():
    for u in ENTRIES:
        for slots in (u.slots, *u.also):
            for slot, value in slots.items():
                if slot in VALUES:
                    assert value in VALUES[slot].split("|"), u.text
                else:
                    assert slot in NUMBERS | MORE, u.text
                    assert isinstance(value, int | float) or slot == "stoma", u.text


def test_numbers_that_sound_alike_are_both_said():
    said = {int(v) for u in ENTRIES for v in u.slots.values() if isinstance(v, int | float)}
    for teen in (13, 14, 15, 16, 17, 19):
        assert {teen, (teen - 10) * 10} <= said
    assert {113, 130, 118, 180} <= said


def test_sentences_are_words_as_spoken():
    assert not any(c.isdigit() for u in UTTERANCES for c in u.text)


def test_plan_is_fair_and_keeps_voices_back():
    takes = synth.plan()
    assert len({t.file for t in takes}) == len(takes)
    voices = Counter(t.voice.name for t in takes)
    assert set(voices) == {v.name for v in VOICES}
    assert len(VOICES) >= 10
    assert sum(v.natural for v in VOICES) >= len(VOICES) / 2
    assert not [t for t in takes if t.voice.held_out and t.utterance.split == "dev"]
    speeds = Counter(t.speed for t in takes)
    assert min(speeds.values()) > 0.25 * len(takes)
    first = Counter(t.utterance.style for t in takes[:150])
    whole = Counter(t.utterance.style for t in takes)
    for style, n in whole.items():
        assert abs(first[style] / 150 - n / len(takes)) < 0.1
