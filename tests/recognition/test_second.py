"""The second model with its real weights, on the demo recordings."""

import shutil
from importlib import util
from pathlib import Path

import numpy as np
import pytest

from voicelog import data
from voicelog.audio.files import read
from voicelog.recognition import second
from voicelog.recognition.moonshine import with_tail
from voicelog.recognition.protocol import RATE
from voicelog.recognition.second import (
    BYTES,
    SecondModel,
    SecondModelDamagedError,
    SecondModelMissingError,
    package_folder,
    spell,
)
from voicelog.runner.recording import utterances


@pytest.fixture(scope="module")
def model() -> SecondModel:
    return SecondModel()


def test_it_writes_down_what_was_said(model: SecondModel) -> None:
    parts = list(utterances(read(data.folder("demo_audio") / "late_call.flac")))
    reading = parts[1].audio
    found = model.hear(with_tail(reading))
    assert "91" in found[0].text or "ninety-one" in found[0].text.lower()
    scores = [one.score for one in found]
    assert scores == sorted(scores, reverse=True)
    assert all(score <= 0 for score in scores)


@pytest.mark.parametrize("seconds", [0.0, 0.3, 13.9, 14.1, 20.0])
def test_any_length_gives_bounded_texts(model: SecondModel, seconds: float) -> None:
    hiss = np.random.default_rng(2).normal(0, 0.01, round(seconds * RATE)).astype(np.float32)
    for one in model.hear(hiss):
        assert one.tokens <= seconds * second.TOKENS_PER_SECOND + second.SPARE_TOKENS


def test_byte_letters_stand_for_every_byte_once() -> None:
    assert sorted(BYTES.values()) == list(range(256))
    assert (BYTES["Ġ"], BYTES["A"], BYTES["Ċ"]) == (ord(" "), ord("A"), ord("\n"))


def test_marks_are_left_out_and_letters_beyond_ascii_put_together() -> None:
    assert spell(["ĠSats", "Ġ88", ",", "<|endoftext|>"]) == "Sats 88,"
    assert spell(["37", "Â°", "C"]) == "37\N{DEGREE SIGN}C"


def test_a_damaged_file_is_told(tmp_path: Path) -> None:
    shutil.copytree(package_folder(), tmp_path / "model")
    (tmp_path / "model" / "model.bin").write_bytes(b"not a model")
    with pytest.raises(SecondModelDamagedError, match="force-reinstall"):
        SecondModel(tmp_path / "model")


def test_a_missing_package_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(util, "find_spec", lambda name: None)
    with pytest.raises(SecondModelMissingError, match="pip install"):
        package_folder()
