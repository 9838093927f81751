"""Voices that taught nothing say sentences that taught nothing."""

import pytest

from bench import strangers
from bench.lessons import kept_back
from bench.utterances import load
from bench.voices import Voice


def test_only_kept_back_sentences_in_voices_beyond_others() -> None:
    voices = [Voice("kokoro", name, natural=True) for name in ("one", "two", "three")]
    takes = strangers.plan(voices)
    assert len(takes) > 300
    assert all(t.utterance.split == "dev" and kept_back(t.utterance.text) for t in takes)
    assert all("*-" in take.voice.speaker for take in takes)
    assert takes == strangers.plan(voices)


def test_a_new_sentence_moves_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    voices = [Voice("kokoro", name, natural=True) for name in ("one", "two", "three")]
    before, sentences = strangers.plan(voices), load()
    monkeypatch.setattr(strangers, "load", lambda: sentences[::2])
    fewer = strangers.plan(voices)
    assert 0 < len(fewer) < len(before)
    assert set(map(repr, fewer)) < set(map(repr, before))
