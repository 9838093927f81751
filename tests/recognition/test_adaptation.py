"""Weights with a change laid over them: what is computed afterwards is the sum."""

from pathlib import Path
from typing import Any

import numpy as np
import onnx
import onnxruntime
import pytest
import soundfile
from onnx import TensorProto, helper, numpy_helper

from voicelog.recognition import adaptation
from voicelog.recognition.prepare import shipped_folder

ROWS, COLUMNS, RANK = 4, 3, 2
DEMO = Path(__file__).parents[2] / "demo_audio"


def graph() -> Any:
    """Return x @ matrix + bias, the matrix kept in eight bits as the shipped encoder keeps it."""
    rng = np.random.default_rng(5)
    held = {
        "m_quantized": rng.integers(-128, 127, (ROWS, COLUMNS)).astype(np.int8),
        "m_scale": np.array([0.02], np.float32),
        "m_zero_point": np.array([0.3], np.float32),
        "bias": rng.standard_normal(COLUMNS).astype(np.float32),
    }
    nodes = [
        helper.make_node("Cast", ["m_quantized"], ["m_cast_tensor"], to=TensorProto.FLOAT),
        helper.make_node("Mul", ["m_cast_tensor", "m_scale"], ["m_mul_tensor"]),
        helper.make_node("Add", ["m_mul_tensor", "m_zero_point"], ["m_add_tensor"]),
        helper.make_node("MatMul", ["x", "m_add_tensor"], ["product"]),
        helper.make_node("Add", ["product", "bias"], ["y"]),
    ]
    made = helper.make_graph(
        nodes,
        "encoder",
        [helper.make_tensor_value_info("x", TensorProto.FLOAT, ["n", ROWS])],
        [helper.make_tensor_value_info("y", TensorProto.FLOAT, ["n", COLUMNS])],
        [numpy_helper.from_array(array, name) for name, array in held.items()],
    )
    return helper.make_model(made, opset_imports=[helper.make_opsetid("", 17)], ir_version=8)


def run(model: Any, x: np.ndarray) -> np.ndarray:
    # Reference: onnxruntime, which knows nothing of the change.
    onnx.checker.check_model(model)
    session = onnxruntime.InferenceSession(model.SerializeToString())
    found: np.ndarray = session.run(None, {"x": x})[0]
    return found


def test_the_changed_graph_computes_the_old_result_plus_the_change() -> None:
    rng = np.random.default_rng(9)
    x = rng.standard_normal((5, ROWS)).astype(np.float32)
    thin = {
        "m.A": rng.standard_normal((ROWS, RANK)).astype(np.float16),
        "m.B": rng.standard_normal((RANK, COLUMNS)).astype(np.float16),
        "bias": rng.standard_normal(COLUMNS).astype(np.float16),
    }
    model = graph()
    before = run(model, x)
    adaptation.adapt(model, thin)
    wide = {name: array.astype(np.float64) for name, array in thin.items()}
    expected = before + x @ wide["m.A"] @ wide["m.B"] + wide["bias"]
    np.testing.assert_allclose(run(model, x), expected, atol=1e-4)


def test_no_change_changes_nothing() -> None:
    model = graph()
    whole = model.SerializeToString()
    adaptation.adapt(model, {})
    assert model.SerializeToString() == whole


@pytest.mark.parametrize("name", ["other", "other.A"])
def test_a_change_of_a_weight_that_is_not_there_is_refused(name: str) -> None:
    change = {name: np.zeros((1, 1), np.float16), "other.B": np.zeros((1, 1), np.float16)}
    with pytest.raises(KeyError):
        adaptation.adapt(graph(), change)


def test_the_adapted_encoder_hears_quiet_speech_nearly_as_the_shipped_one_does(
    model_folder: Path,
) -> None:
    # Reference: the encoder as its authors ship it, run by onnxruntime.
    shipped = onnxruntime.InferenceSession(str(shipped_folder() / "encoder_model.ort"))
    adapted = onnxruntime.InferenceSession(str(model_folder / "encoder.onnx"))
    for path in sorted(DEMO.glob("*.flac")):
        audio, _ = soundfile.read(path, dtype="float32")
        feed = {"input_values": audio[None, :80_000]}
        before, after = (session.run(None, feed)[0][0] for session in (shipped, adapted))
        alike = np.sum(before * after, 1) / np.linalg.norm(before, axis=1)
        assert np.median(alike / np.linalg.norm(after, axis=1)) > 0.9, path.name
        assert not np.allclose(before, after, atol=1e-3), path.name


def test_the_kept_changes_are_small_numbers_in_pairs() -> None:
    parts = adaptation.read(adaptation.FILE)
    assert {name: len(part) for name, part in parts.items()} == {
        "encoder": 8 * (2 * 6 + 4),
        "cross": 8 * (2 * 2),
        "step": 8 * (2 * 8 + 5),
    }
    for changes in parts.values():
        for name, array in changes.items():
            assert array.dtype == np.float16, name
            assert np.isfinite(array).all(), name
            if name.endswith(".A"):
                assert array.shape[1] == changes[name.removesuffix(".A") + ".B"].shape[0], name
