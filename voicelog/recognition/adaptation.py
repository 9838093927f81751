"""What the English model has learned about its work, laid over its weights.

The model was trained on other speech, without suction machines.  ``bench/adapt.py`` taught
its encoder to make of noisy speech what it makes of the same speech in quiet, and
``bench/teach.py`` taught all of it the sentences of the log; the difference is kept in
``adaptation.npz`` beside this file, in 16-bit numbers: for each matrix two thin ones
(``GRAPH/NAME.A`` and ``GRAPH/NAME.B``, whose product is added, after Hu et al., 2021,
"LoRA"), for each bias and each normalisation the sum to add (``GRAPH/NAME``).  Names are
the graphs' own.
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


def read(file: Path) -> dict[str, Arrays]:
    """Return what to add, by graph ("encoder", "cross", "step") and name.

    Raises:
        OSError: the file cannot be read.
        ValueError: it holds no such arrays.
    """
    found: dict[str, Arrays] = {}
    with np.load(file, allow_pickle=False) as kept:
        for place in kept.files:
            graph, _, name = place.partition("/")
            found.setdefault(graph, {})[name] = kept[place]
    return found


def adapt(model: Any, changes: Arrays) -> None:
    """Add ``changes`` to the weights of a graph (``onnx.ModelProto``), in place.

    Raises:
        KeyError: the graph has no weight of one of the names.
    """
    from onnx import numpy_helper

    graph = model.graph
    held = {tensor.name: tensor for tensor in graph.initializer}
    wide = {name: change.astype(np.float32) for name, change in changes.items()}
    unpacked: set[str] = set()
    for name, change in wide.items():
        base, _, half = name.rpartition(".")
        if half == "A":
            place = f"{base}_add_tensor"
            held[place] = numpy_helper.from_array(
                plain(held, base) + change @ wide[f"{base}.B"], place
            )
            unpacked.update(f"{base}_{step}_tensor" for step in STEPS)
            for part in PARTS:
                del held[f"{base}_{part}"]
        elif half != "B":
            held[name] = numpy_helper.from_array(numpy_helper.to_array(held[name]) + change, name)
    nodes = [node for node in graph.node if unpacked.isdisjoint(node.output)]
    del graph.node[:], graph.initializer[:]
    graph.node.extend(nodes)
    graph.initializer.extend(held.values())


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
