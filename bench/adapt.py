"""Teach the encoder to hear through a suction machine: ``python -m bench.adapt --minutes 45``.

Nothing is labelled: the untaught encoder listens to a clip in quiet, the taught one to the same
clip disturbed, and is drawn towards what the other heard.  Only thin matrices beside the big
ones, and sums for biases and normalisations, are learned (24 columns; Hu et al., 2021).  How
near two results are is measured where the decoder looks at them: after its projections to
keys and values.  Clips are of four fifths of the development sentences (the last fifth is kept
for looking at the result), and of recorded people of the development half.

Needs JAX (``pip install '.[bench]'``) and rendered clips.  Writes
``voicelog/recognition/adaptation.npz``; a given file is taught further.
"""

import argparse
import queue
import sys
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import onnx
import onnxruntime

from bench import encoder, thin
from bench.disturb import ways
from bench.encoder import CALLED, Weights, front, layers
from bench.lessons import kept_back
from bench.material import outside, synthetic
from bench.sound import RATE
from voicelog.recognition import adaptation, prepare
from voicelog.recognition.prepare import WIDTH

COLUMNS = 24
LENGTHS = {40_000: 10, 64_000: 8, 96_000: 5}
"""Samples of a window, and how many windows make a batch."""
TAIL = RATE // 2
"""Silence at a window's end, as the log puts it there too."""
LEARNING_RATE = 6e-4


def shipped_encoder(folder: Path) -> Path:
    """The encoder as its authors ship it, written out as ONNX."""
    path = folder / "encoder.onnx"
    prepare.as_onnx(prepare.shipped_folder() / prepare.SHIPPED[0], path)
    return path


def shipped_decoder(folder: Path) -> None:
    """Write the decoder as its authors ship it into ``folder``: cross.onnx and step.onnx."""
    merged = folder / "merged.onnx"
    prepare.as_onnx(prepare.shipped_folder() / prepare.SHIPPED[1], merged)
    prepare.split(merged, folder)


def check(weights: Weights, path: Path) -> None:
    """Refuse to teach unless this encoder computes what the shipped one computes.

    Raises:
        ValueError: it does not.
    """
    audio = np.random.default_rng(1).normal(0, 0.1, (1, 32_000)).astype(np.float32)
    expected = onnxruntime.InferenceSession(str(path)).run(None, {"input_values": audio})[0]
    found = np.asarray(layers(weights, front(weights, audio)))
    if np.abs(found - expected).max() > 1e-3:
        raise ValueError("this encoder does not compute what the shipped one does")


def people(human: Path) -> Iterator[np.ndarray]:
    """Pieces, of five seconds at most, of people who read or meet."""
    for clip in outside(human, "dev"):
        if clip.group in ("read", "meeting"):
            sound = clip.load()
            for at in range(0, len(sound) - 2 * RATE, 4 * RATE):
                yield sound[at : at + 5 * RATE]


def windows(human: Path) -> list[tuple[int, np.ndarray]]:
    """Each clip with the length of the window it goes into."""
    sounds = [clip.load() for clip in synthetic("dev") if not kept_back(clip.text)]
    sounds += people(human)
    longest = max(LENGTHS)
    fitting = ((next((n for n in LENGTHS if len(s) + TAIL <= n), longest), s) for s in sounds)
    return [(length, sound[: length - TAIL]) for length, sound in fitting]


def padded(sounds: list[np.ndarray], length: int) -> np.ndarray:
    """A batch of sounds with silence after each."""
    return np.stack([np.pad(s, (0, length - len(s))) for s in sounds]).astype(np.float32)


def heard_in_quiet(weights: Weights, items: list[tuple[int, np.ndarray]]) -> list[np.ndarray]:
    """What the untaught encoder makes of each clip, in 16 bits."""
    listen = jax.jit(lambda audio: layers(weights, front(weights, audio)))
    found: dict[int, np.ndarray] = {}
    for length in LENGTHS:
        members = [at for at, (n, _) in enumerate(items) if n == length]
        for start in range(0, len(members), 8):
            part = members[start : start + 8]
            sounds = [items[at][1] for at in part] + [np.zeros(1)] * (8 - len(part))
            result = np.asarray(listen(padded(sounds, length)), np.float16)
            found.update(zip(part, result, strict=False))
        print(f"heard {len(found)} of {len(items)} in quiet", file=sys.stderr)
    return [found[at] for at in range(len(items))]


def ruler(cross: Path, heard: list[np.ndarray]) -> jax.Array:
    """The matrix after which plain distance is distance in the decoder's keys and values."""
    held = {tensor.name: tensor for tensor in onnx.load(str(cross)).graph.initializer}
    bases = [name.removesuffix("_quantized") for name in held if name.endswith("_quantized")]
    every = np.concatenate([h.reshape(-1, WIDTH) for h in heard[::5]]).astype(np.float64)
    spread = np.cov(every.T)
    total = np.zeros_like(spread)
    for base in bases:
        matrix = adaptation.plain(held, base)
        total += matrix @ matrix.T / np.trace(matrix.T @ spread @ matrix) / len(bases)
    return jnp.asarray(np.linalg.cholesky(total + 1e-9 * np.eye(len(total))), jnp.float32)


def batches(
    items: list[tuple[int, np.ndarray]], heard: list[np.ndarray], seed: int
) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Disturbed clips and what they should sound like, without end."""
    rng = np.random.default_rng(seed)
    talkers = [sound for _, sound in items[::7]]
    kinds = ways(talkers)
    members = {n: [at for at, (m, _) in enumerate(items) if m == n] for n in LENGTHS}
    shares = np.array([len(m) for m in members.values()], float)
    while True:
        length = int(rng.choice(list(members), p=shares / shares.sum()))
        taken = rng.choice(members[length], LENGTHS[length])
        chosen = rng.choice(len(kinds), len(taken), p=np.array([*kinds.values()]))
        sounds = [[*kinds][k](rng, items[at][1]) for k, at in zip(chosen, taken, strict=True)]
        cut = [sound[: length - TAIL] for sound in sounds]
        yield padded(cut, length), np.stack([heard[at] for at in taken]).astype(np.float32)


def ahead(source: Iterator[Any]) -> Iterator[Any]:
    """The same, made a few steps ahead by another thread."""
    ready: queue.Queue[Any] = queue.Queue(6)

    def fill() -> None:
        for item in source:
            ready.put(item)

    threading.Thread(target=fill, daemon=True).start()
    while True:
        yield ready.get()


def teach(
    weights: Weights, changes: Weights, measure: jax.Array, source: Iterator[Any], minutes: float
) -> Weights:
    """Return changes that have been taught for so long; prints how far they have come."""

    def distance(changes: Weights, x: jax.Array, y: jax.Array) -> jax.Array:
        apart = (layers(thin.laid(weights, CALLED, changes), x) - y) @ measure
        return jnp.sqrt((apart**2).sum(-1) + 1e-4).mean()

    listen, untaught_distance = jax.jit(lambda audio: front(weights, audio)), jax.jit(distance)
    step = thin.stepper(lambda *given: (distance(*given), None))
    nothing, state = thin.nothing(weights, CALLED, COLUMNS), thin.RULE.init(changes)
    seen: list[tuple[float, float]] = []
    for number, (done, rate) in enumerate(thin.rates(minutes, LEARNING_RATE)):
        sound, target = next(source)
        x = listen(sound)
        if number % 20 == 0:
            before = float(untaught_distance(nothing, x, target))
            seen.append((float(untaught_distance(changes, x, target)), before))
            now, then = np.mean(seen[-10:], axis=0)
            print(f"{number} {done:4.0%} apart {now:.4f}, untaught {then:.4f}", flush=True)
        changes, state, _ = step(changes, state, rate, x, target)
    return changes


def main() -> None:
    """Teach, and write the changes."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--minutes", type=float, default=45)
    reader.add_argument("--human", type=Path, default=Path("../shared/audio"))
    reader.add_argument("--further", type=Path, help="changes to go on from")
    reader.add_argument("--seed", type=int, default=7)
    reader.add_argument("--out", type=Path, default=adaptation.FILE)
    given = reader.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = shipped_encoder(Path(folder))
        weights = encoder.read(path)
        check(weights, path)
        shipped_decoder(Path(folder))
        items = windows(given.human)
        heard = heard_in_quiet(weights, items)
        measure = ruler(Path(folder) / "cross.onnx", heard)
    changes = thin.nothing(weights, CALLED, COLUMNS)
    if given.further:
        changes = thin.wide(adaptation.read(given.further)["encoder"])
    source = ahead(batches(items, heard, given.seed))
    changes = teach(weights, changes, measure, source, given.minutes)
    thin.write(given.out, {"encoder": changes})


if __name__ == "__main__":
    main()
