"""The prepared graphs, before they are taught, give what the shipped model gives.

As far as eight bits go.
"""

from pathlib import Path

import numpy as np
import onnxruntime
import pytest

from voicelog.recognition import adaptation
from voicelog.recognition.acoustic import AcousticModel
from voicelog.recognition.prepare import LAYERS, prepare, shipped_folder


@pytest.fixture(scope="module")
def shipped() -> onnxruntime.InferenceSession:
    options = onnxruntime.SessionOptions()
    options.log_severity_level = 3
    path = shipped_folder() / "decoder_model_merged.ort"
    return onnxruntime.InferenceSession(str(path), options)


@pytest.fixture(scope="module")
def untaught_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(adaptation, "read", lambda file: {})
        return prepare(shipped_folder(), tmp_path_factory.mktemp("untaught"))


LIKELY = -10.0
"""Log-probability above which a subword can matter to a text that is stored."""
EIGHT_BITS = 0.5
"""What rounding to eight bits may change, where texts are told apart from 1 on."""


def assert_close(ours: np.ndarray, reference: np.ndarray) -> None:
    likely = reference > LIKELY
    assert likely.any()
    np.testing.assert_allclose(ours[likely], reference[likely], atol=EIGHT_BITS)
    assert ours.argmax() == reference.argmax()


def test_likely_subwords_score_as_in_the_shipped_graph(
    untaught_folder: Path, shipped: onnxruntime.InferenceSession
) -> None:
    # Reference: the model as its authors ship it, run by onnxruntime.
    rng = np.random.default_rng(3)
    audio = (0.1 * rng.standard_normal(24_000)).astype(np.float32)
    model = AcousticModel(untaught_folder)
    encoder = onnxruntime.InferenceSession(str(shipped_folder() / "encoder_model.ort"))
    hidden = encoder.run(None, {"input_values": audio[None, :]})[0]
    memory = model.project(hidden)
    frames = hidden.shape[1]
    empty = {
        f"past_key_values.{layer}.{side}.{part}": np.zeros((1, 8, 0, 52), np.float32)
        for layer in range(LAYERS)
        for side in ("decoder", "encoder")
        for part in ("key", "value")
    }
    feed = {
        "input_ids": np.array([[1]]),
        "encoder_hidden_states": hidden,
        "use_cache_branch": np.array([False]),
        **empty,
    }
    logits = shipped.run(["logits"], feed)[0][0, -1]
    ours, _ = model.step(memory, [1], model.begin(1))
    shift = logits - np.log(np.exp(logits - logits.max()).sum()) - logits.max()
    assert frames == next(iter(memory.arrays.values())).shape[2]
    assert_close(ours[0], shift)


def test_a_batch_gives_each_text_its_own_scores(model_folder: Path) -> None:
    model = AcousticModel(model_folder)
    audio = np.sin(np.arange(16_000, dtype=np.float32) / 9)
    memory = model.listen(audio)
    _, past = model.step(memory, [1], model.begin(1))
    alone_a, _ = model.step(memory, [300], past)
    alone_b, _ = model.step(memory, [900], past)
    both, grown = model.step(memory, [300, 900], past.pick([0, 0]))
    assert_close(both[0], alone_a[0])
    assert_close(both[1], alone_b[0])
    assert grown.arrays[0].shape[:3] == (2, 8, 2)
    np.testing.assert_allclose(np.exp(both).sum(axis=1), 1, atol=1e-3)


def test_very_short_audio_is_padded(model_folder: Path) -> None:
    memory = AcousticModel(model_folder).listen(np.zeros(10, np.float32))
    assert len(memory.arrays) == 2 * LAYERS
