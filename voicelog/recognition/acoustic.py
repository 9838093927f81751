"""The acoustic model: sound to cross-attention memory, subwords to next-subword scores."""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from voicelog.recognition.allocator import give_back_early
from voicelog.recognition.prepare import LAYERS, ModelDamagedError
from voicelog.recognition.vocabulary import Vocabulary, read_pieces

HEADS, HEAD_WIDTH = 8, 52
SIZE = 32768
SHORTEST = 1600
"""Samples; the convolutions need at least a tenth of a second."""

Floats = NDArray[np.float32]


@dataclass(slots=True)
class Memory:
    """What the decoder attends to: 8 layers of keys and values, each (1, 8, frames, 52)."""

    arrays: dict[str, Floats]


@dataclass(slots=True)
class Past:
    """Self-attention cache of a batch of texts: 16 arrays (batch, 8, steps, 52)."""

    arrays: list[Floats]

    def pick(self, rows: list[int]) -> "Past":
        """Return the cache of these rows of the batch, in this order."""
        if rows == list(range(self.arrays[0].shape[0])):
            return self
        return Past([array[rows] for array in self.arrays])


class AcousticModel:
    """The prepared English model in ``folder``.

    Raises:
        ModelDamagedError: its files cannot be loaded.
    """

    def __init__(self, folder: Path, threads: int | None = None) -> None:
        self.folder = folder
        give_back_early()
        self.use_threads(threads or min(2, os.cpu_count() or 1))
        self.vocabulary = Vocabulary(read_pieces(folder / "tokenizer.bin"), SIZE)
        outputs = [output.name for output in self._step.get_outputs()]
        self._inputs = [
            f"past_key_values.{layer}.decoder.{part}"
            for layer in range(LAYERS)
            for part in ("key", "value")
        ]
        order = {name: at for at, name in enumerate(outputs)}
        self._present = [order[name.replace("past_key_values", "present")] for name in self._inputs]
        self._logits, self._total = order["logits"], order["total"]

    def use_threads(self, threads: int) -> None:
        """Load the graphs to run on this many threads.

        Raises:
            ModelDamagedError: they cannot be loaded.
        """
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.log_severity_level = 3
        options.intra_op_num_threads = threads
        options.enable_cpu_mem_arena = False  # it only grows, with every new length of audio
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")

        def session(name: str) -> Any:
            return onnxruntime.InferenceSession(
                str(self.folder / name), options, providers=["CPUExecutionProvider"]
            )

        try:
            with ThreadPoolExecutor(3) as pool:
                made = pool.map(session, ("encoder.onnx", "cross.onnx", "step.onnx"))
            self._encoder, self._cross, self._step = made
        except Exception as error:
            raise ModelDamagedError(self.folder) from error

    def listen(self, audio: Floats) -> Memory:
        """Encode ``audio``: float32, one channel, 16 kHz, about -1 to 1."""
        if len(audio) < SHORTEST:
            audio = np.pad(audio, (0, SHORTEST - len(audio)))
        return self.project(self._encoder.run(None, {"input_values": audio[None, :]})[0])

    def project(self, hidden: Floats) -> Memory:
        """Return the keys and values of what the encoder made: (1, frames, 416)."""
        flat = self._cross.run(None, {"encoder_hidden_states": hidden})
        names = [output.name for output in self._cross.get_outputs()]
        arrays = {}
        for name, value in zip(names, flat, strict=True):
            part, layer = name.split(".")
            heads = value.reshape(1, -1, HEADS, HEAD_WIDTH).transpose(0, 2, 1, 3)
            arrays[f"past_key_values.{layer}.encoder.{part}"] = np.ascontiguousarray(heads)
        return Memory(arrays)

    def begin(self, batch: int) -> Past:
        """Return the empty cache for ``batch`` texts."""
        empty = np.zeros((batch, HEADS, 0, HEAD_WIDTH), np.float32)
        return Past([empty] * (2 * LAYERS))

    def step(self, memory: Memory, last: list[int], past: Past) -> tuple[Floats, Past]:
        """Return log-probabilities (batch, 32768) of what follows ``last``, and the new cache."""
        feed: dict[str, Any] = {"input_ids": np.asarray(last, np.int64)[:, None], **memory.arrays}
        feed.update(zip(self._inputs, past.arrays, strict=True))
        found = self._step.run(None, feed)
        scores = found[self._logits][:, -1, :]
        scores -= found[self._total][:, -1, :]
        return scores, Past([found[at] for at in self._present])
