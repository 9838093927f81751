"""The model made ready: what comes out computes the same, and an old or damaged cache is seen."""

import json
from collections.abc import Callable
from importlib import metadata
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import onnx
import onnxruntime
import pytest
from onnx import TensorProto, helper, numpy_helper

from voicelog.recognition import prepare as room
from voicelog.recognition.prepare import (
    MADE,
    SHIPPED,
    ModelCacheError,
    ModelDamagedError,
    ModelMissingError,
    is_prepared,
    prepare,
    shipped_folder,
    verify,
)

LAYERS, WIDTH, WORDS, FRAMES = 2, 3, 5, 4
EIGHT_BITS = WIDTH * 2 * 3 * 6 / 255
"""Most that rounding can change: steps of a 255th of 6 (from -3 to 3) on either side of each
product of numbers up to 3; the step model alone is packed."""
NAMES = [f"{layer}.{side}.{part}" for layer in range(LAYERS) for side in ("encoder", "decoder")
         for part in ("key", "value")]  # fmt: skip


def weights(name: str, columns: int = WIDTH) -> Any:
    """Return a weight table that no other name has."""
    made = np.random.default_rng(sum(map(ord, name))).normal(size=(WIDTH, columns))
    return made.astype(np.float32)


def value(name: str, *shape: int | str) -> Any:
    return helper.make_tensor_value_info(name, TensorProto.FLOAT, shape)


def branch(name: str, *, first: bool) -> Any:
    """Return one side of the decoder: only the first step projects the encoder's frames."""
    nodes, constants, outputs = [], [], []

    def times(source: str, result: str, columns: int = WIDTH) -> None:
        table = f"{name}.w.{result}"
        constants.append(numpy_helper.from_array(weights(result, columns), table))
        nodes.append(helper.make_node("MatMul", [source, table], [f"{name}.{result}"]))

    times("word", "logits", WORDS)
    outputs.append(value(f"{name}.logits", 1, 1, WORDS))
    for each in NAMES:
        if ".decoder." in each:
            times("word", each)
        elif first:
            times("encoder_hidden_states", each)
        else:
            old = f"past_key_values.{each}"
            nodes.append(helper.make_node("Identity", [old], [f"{name}.{each}"]))
        outputs.append(value(f"{name}.{each}", 1, "n", WIDTH))
    return helper.make_graph(nodes, name, [], outputs, constants)


def as_shipped(model: Any, path: Path) -> None:
    """Write a model in the format that the wheel has."""
    onnx.save(model, str(path.with_suffix(".onnx")))
    options = onnxruntime.SessionOptions()
    options.optimized_model_filepath = str(path)
    options.graph_optimization_level = onnxruntime.GraphOptimizationLevel.ORT_DISABLE_ALL
    options.add_session_config_entry("session.save_model_format", "ORT")
    options.log_severity_level = 3
    onnxruntime.InferenceSession(
        str(path.with_suffix(".onnx")), options, providers=["CPUExecutionProvider"]
    )
    path.with_suffix(".onnx").unlink()


def model(graph: Any) -> Any:
    return helper.make_model(graph, opset_imports=[helper.make_opsetid("", 17)], ir_version=9)


@pytest.fixture(scope="session")
def tiny(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A model of two layers and five words, laid out like the real one."""
    folder = tmp_path_factory.mktemp("shipped")
    table = numpy_helper.from_array(weights("encoder"), "w")
    multiply = helper.make_node("MatMul", ["input_values", "w"], ["last_hidden_state"])
    sound = value("input_values", 1, "n", WIDTH)
    hidden = value("last_hidden_state", 1, "n", WIDTH)
    encoder = helper.make_graph([multiply], "encoder", [sound], [hidden], [table])
    as_shipped(model(encoder), folder / SHIPPED[0])
    old = [value(f"past_key_values.{each}", 1, "m", WIDTH) for each in NAMES]
    outputs = [value("logits", 1, 1, WORDS)]
    outputs += [value(f"present.{each}", 1, "n", WIDTH) for each in NAMES]
    choose = helper.make_node(
        "If",
        ["use_cache_branch"],
        [one.name for one in outputs],
        then_branch=branch("then", first=False),
        else_branch=branch("else", first=True),
    )
    inputs = [
        value("word", 1, 1, WIDTH),
        value("encoder_hidden_states", 1, "n", WIDTH),
        *old,
        helper.make_tensor_value_info("use_cache_branch", TensorProto.BOOL, [1]),
    ]
    merged = helper.make_graph([choose], "decoder", inputs, outputs)
    as_shipped(model(merged), folder / SHIPPED[1])
    (folder / SHIPPED[2]).write_bytes(b"\x01a\x01b")
    return folder


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> None:
    if "tiny" in request.fixturenames:
        monkeypatch.setattr(room, "LAYERS", LAYERS)
        monkeypatch.setattr(room, "WIDTH", WIDTH)
        # the real changes are for a model of another size
        monkeypatch.setattr(room.adaptation, "read", lambda file: {})


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"


def session(path: Path) -> Any:
    return onnxruntime.InferenceSession(str(path), providers=["CPUExecutionProvider"])


def test_the_parts_compute_what_the_whole_computed(tiny: Path, cache: Path) -> None:
    folder = prepare(tiny, cache)
    rng = np.random.default_rng(7)
    frames = rng.normal(size=(1, FRAMES, WIDTH)).astype(np.float32)
    word = rng.normal(size=(1, 1, WIDTH)).astype(np.float32)

    (hidden,) = session(folder / "encoder.onnx").run(None, {"input_values": frames})
    np.testing.assert_allclose(hidden, frames @ weights("encoder"), rtol=1e-5)

    cross = session(folder / "cross.onnx")
    names = [output.name for output in cross.get_outputs()]
    assert names == ["key.0", "value.0", "key.1", "value.1"]
    for name, found in zip(names, cross.run(None, {"encoder_hidden_states": frames}), strict=True):
        part, layer = name.split(".")
        np.testing.assert_allclose(found, frames @ weights(f"{layer}.encoder.{part}"), rtol=1e-5)

    step = session(folder / "step.onnx")
    assert "use_cache_branch" not in [one.name for one in step.get_inputs()]
    found = dict(
        zip([one.name for one in step.get_outputs()], step.run(None, {"word": word}), strict=True)
    )
    logits = word @ weights("logits", WORDS)
    np.testing.assert_allclose(found["logits"], logits, atol=EIGHT_BITS)
    total = np.log(np.exp(logits).sum(-1))
    np.testing.assert_allclose(found["total"][..., 0], total, atol=EIGHT_BITS)
    key = word @ weights("1.decoder.key")
    np.testing.assert_allclose(found["present.1.decoder.key"], key, atol=EIGHT_BITS)
    assert not any(".encoder." in name for name in found)


def test_it_is_done_once(tiny: Path, cache: Path) -> None:
    told: list[str] = []
    folder = prepare(tiny, cache, told.append)
    assert len(told) == 4
    assert sorted(path.name for path in folder.iterdir()) == sorted([*MADE, "prepared.json"])
    assert [path.name for path in cache.iterdir()] == [folder.name], "nothing is left lying about"
    assert cache.stat().st_mode & 0o077 == 0
    assert is_prepared(folder, tiny)
    assert verify(folder)
    assert prepare(tiny, cache, told.append) == folder
    assert len(told) == 4


def recipe_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "RECIPE", room.RECIPE + 1)


def library_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    real = metadata.version
    monkeypatch.setattr(
        room.metadata, "version", lambda name: "9.9" if name == "onnxruntime" else real(name)
    )


@pytest.mark.parametrize("change", [recipe_changed, library_changed])
def test_a_change_lets_it_be_made_again(
    tiny: Path,
    cache: Path,
    monkeypatch: pytest.MonkeyPatch,
    change: Callable[[pytest.MonkeyPatch], None],
) -> None:
    folder = prepare(tiny, cache)
    (folder / "old").touch()
    change(monkeypatch)
    assert not is_prepared(folder, tiny)
    assert prepare(tiny, cache) == folder
    assert is_prepared(folder, tiny)
    assert not (folder / "old").exists()


def test_another_shipped_model_lets_it_be_made_again(
    tiny: Path, cache: Path, tmp_path: Path
) -> None:
    prepare(tiny, cache)
    other = tmp_path / "other"
    other.mkdir()
    for name in SHIPPED:
        (other / name).write_bytes((tiny / name).read_bytes())
    (other / SHIPPED[2]).write_bytes(b"\x01a\x01b\x01c")
    folder = prepare(other, cache)
    assert (folder / "tokenizer.bin").read_bytes() == b"\x01a\x01b\x01c"


def shorten(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


SPOILT: dict[str, Callable[[Path], Any]] = {
    "a file too short": lambda folder: shorten(folder / "step.onnx"),
    "a file gone": lambda folder: (folder / "cross.onnx").unlink(),
    "no note": lambda folder: (folder / "prepared.json").unlink(),
    "half a note": lambda folder: shorten(folder / "prepared.json"),
    "an empty note": lambda folder: (folder / "prepared.json").write_text(""),
    "another note": lambda folder: (folder / "prepared.json").write_text("{}"),
    "a note that is a list": lambda folder: (folder / "prepared.json").write_text("[]"),
    "a note not in UTF-8": lambda folder: (folder / "prepared.json").write_bytes(b"\xff"),
}


@pytest.mark.parametrize("case", SPOILT)
def test_a_damaged_cache_is_made_again(tiny: Path, cache: Path, case: str) -> None:
    folder = prepare(tiny, cache)
    SPOILT[case](folder)
    assert not is_prepared(folder, tiny)
    assert not verify(folder)
    assert verify(prepare(tiny, cache))


def test_one_flipped_bit_is_seen_by_the_checksum(tiny: Path, cache: Path) -> None:
    folder = prepare(tiny, cache)
    raw = bytearray((folder / "encoder.onnx").read_bytes())
    raw[len(raw) // 2] ^= 1
    (folder / "encoder.onnx").write_bytes(raw)
    assert is_prepared(folder, tiny), "the start looks at sizes alone, to be quick"
    assert not verify(folder)


def test_the_note_tells_what_it_was_made_of(tiny: Path, cache: Path) -> None:
    note = json.loads((prepare(tiny, cache) / "prepared.json").read_text())
    assert set(note["sha256"]) == set(note["sizes"]) == set(MADE)
    assert note["recipe"]["onnx"] == metadata.version("onnx")


def test_a_cache_that_cannot_be_written_serves_what_is_in_it(
    tiny: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = prepare(tiny, cache)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(room.tempfile, "TemporaryDirectory", refuse)
    monkeypatch.setattr(Path, "mkdir", refuse)
    assert prepare(tiny, cache) == folder


def test_a_cache_that_cannot_be_written_and_is_empty(tiny: Path, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(ModelCacheError, match="VOICELOG_CACHE"):
        prepare(tiny, tmp_path / "file" / "cache")


def test_a_disk_that_fills_up_leaves_no_half_model(
    tiny: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(onnx, "save", full)
    with pytest.raises(ModelCacheError, match="No space left on device"):
        prepare(tiny, cache)
    assert list(cache.iterdir()) == []


def test_a_disk_that_is_almost_full_is_told_as_such(
    tiny: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = SimpleNamespace(free=room.NEEDED - 1)
    monkeypatch.setattr(room.shutil, "disk_usage", lambda path: left)
    with pytest.raises(ModelCacheError, match=r"almost full.*free 500 MB"):
        prepare(tiny, cache)


def test_the_real_model_fits_into_what_is_asked_for(model_folder: Path) -> None:
    """The merged decoder lies beside the parts while they are made."""
    parts = sum(path.stat().st_size for path in model_folder.iterdir())
    assert parts + (shipped_folder() / SHIPPED[1]).stat().st_size < room.NEEDED


@pytest.mark.parametrize("name", SHIPPED[:2])
def test_a_shipped_file_that_is_no_model(
    tiny: Path, cache: Path, tmp_path: Path, name: str
) -> None:
    for each in SHIPPED:
        (tmp_path / each).write_bytes((tiny / each).read_bytes())
    (tmp_path / name).write_bytes(b"this is no model")
    with pytest.raises(ModelDamagedError, match="voicelog model --again"):
        prepare(tmp_path, cache)
    assert list(cache.iterdir()) == []


def test_the_users_own_folder_comes_before_the_wheels(tiny: Path, tmp_path: Path) -> None:
    assert shipped_folder(tiny) == tiny
    assert shipped_folder(tmp_path) == shipped_folder(), "an empty one is passed over"


def test_without_the_wheel_there_is_no_model(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room.util, "find_spec", lambda name: None)
    with pytest.raises(ModelMissingError, match="voicelog model"):
        shipped_folder()


def test_the_real_model_is_whole(model_folder: Path) -> None:
    assert is_prepared(model_folder, shipped_folder())
    assert verify(model_folder)
