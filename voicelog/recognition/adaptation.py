"""What the English encoder has learned about suction machines, laid over its weights.

The model was trained on speech without them.  ``bench/adapt.py`` taught its encoder to
make of noisy speech what it makes of the same speech in quiet; the difference is kept in
``adaptation.npz`` beside this file, in 16-bit numbers: for each matrix two thin ones
(``NAME.A`` and ``NAME.B``, whose product is added, after Hu et al., 2021, "LoRA"), for
each bias and each normalisation the sum to add (``NAME``).  Names are the encoder's own.
"""

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

FILE = Path(__file__).with_suffix(".npz")
PARTS = ("quantized", "scale", "zero_point")
"""The shipped graph keeps a matrix as eight-bit numbers, a factor and a sum to add."""
STEPS = ("cast", "mul", "add")
"""The nodes and tensors that multiply such a matrix out."""

Arrays = dict[str, NDArray[Any]]


def read(file: Path = FILE) -> Arrays:
    """Return what to add, by name.

    Raises:
        OSError: the file cannot be read.
        ValueError: it holds no such arrays.
    """
    with np.load(file, allow_pickle=False) as kept:
        return {name: kept[name] for name in kept.files}


def adapt(model: Any, changes: Arrays) -> None:
    """Add ``changes`` to the weights of an encoder (``onnx.ModelProto``), in place.

    Raises:
        KeyError: the encoder has no weight of one of the names.
    """
    from onnx import numpy_helper

    graph = model.graph
    held = {tensor.name: tensor for tensor in graph.initializer}
    gone: set[str] = set()
    for name, change in changes.items():
        if name.endswith(".B"):
            continue
        base = name.removesuffix(".A")
        if base == name:
            weight, place = numpy_helper.to_array(held[name]), name
            sum_of = weight + change.astype(np.float32)
        else:
            thin = change.astype(np.float32) @ changes[f"{base}.B"].astype(np.float32)
            sum_of, place = plain(held, base) + thin, f"{base}_add_tensor"
            gone.update(f"{base}_{part}" for part in PARTS)
            gone.update(f"{base}_{step}_tensor" for step in STEPS)
        held[place] = numpy_helper.from_array(sum_of.astype(np.float32), place)
        gone.discard(place)
    made = {f"{name.removesuffix('.A')}_add_tensor" for name in changes if name.endswith(".A")}
    nodes = [n for n in graph.node if not (gone | made).intersection(n.output)]
    kept = [tensor for name, tensor in held.items() if name not in gone]
    del graph.node[:], graph.initializer[:]
    graph.node.extend(nodes)
    graph.initializer.extend(kept)


def plain(held: dict[str, Any], name: str) -> NDArray[np.float32]:
    """Return a matrix of the shipped graph, multiplied out, from its tensors by name.

    Raises:
        KeyError: the graph has no such matrix.
    """
    from onnx import numpy_helper

    parts = (numpy_helper.to_array(held[f"{name}_{part}"]) for part in PARTS)
    small, factor, added = (part.astype(np.float32) for part in parts)
    whole: NDArray[np.float32] = small * factor + added
    return whole
