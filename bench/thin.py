"""Thin matrices beside big ones (Hu et al., 2021, "LoRA"): begun, laid over, taught, written.

Of each matrix ``NAME`` two thin ones are learned, ``NAME.A`` and ``NAME.B``, whose product is
added; of each vector the sum to add, ``NAME``.
"""

import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import optax

from bench.encoder import Weights
from voicelog.recognition.adaptation import Arrays

Names = Mapping[tuple[int, str], str]
"""What a graph calls each weight of a layer."""
RULE = optax.chain(optax.clip_by_global_norm(1.0), optax.scale_by_adam(b2=0.99))
WARM_STEPS = 50


def nothing(weights: Weights, called: Names, columns: int) -> Weights:
    """Return changes that change nothing, of so many columns."""
    rng, changes = np.random.default_rng(0), {}
    for (layer, key), name in called.items():
        shape = weights[str(layer)][key].shape
        if len(shape) == 1:
            changes[name] = np.zeros(shape)
        else:
            changes[f"{name}.A"] = rng.normal(0, shape[0] ** -0.5, (shape[0], columns))
            changes[f"{name}.B"] = np.zeros((columns, shape[1]))
    return wide(changes)


@dataclass(frozen=True)
class Beside:
    """A matrix that stays as it is, and two thin ones beside it whose product is added.

    ``x @ beside`` makes one long list of vectors first: with a third axis the slopes take XLA
    half as long again.
    """

    whole: jax.Array
    left: jax.Array
    right: jax.Array

    def __rmatmul__(self, x: jax.Array) -> jax.Array:
        flat = x.reshape(-1, x.shape[-1])
        found = flat @ self.whole + (flat @ self.left) @ self.right
        return found.reshape(*x.shape[:-1], -1)


def laid(weights: Weights, called: Names, changes: Weights) -> Weights:
    """Return the weights with the changes laid over them, or beside them."""
    result = {key: dict(of) if isinstance(of, dict) else of for key, of in weights.items()}
    for (layer, key), name in called.items():
        of = result[str(layer)]
        if name in changes:
            of[key] += changes[name]
        else:
            of[key] = Beside(of[key], changes[f"{name}.A"], changes[f"{name}.B"])
    return result


def wide(changes: Arrays) -> Weights:
    """Return the arrays as JAX's, in 32 bits."""
    return {name: jnp.asarray(value, jnp.float32) for name, value in changes.items()}


def write(path: Path, parts: dict[str, Weights]) -> None:
    """Write changes by graph and name, in 16 bits."""
    named = {f"{graph}/{name}": v for graph, part in parts.items() for name, v in part.items()}
    np.savez(path, **{place: np.asarray(value, np.float16) for place, value in named.items()})
    print(path)


def stepper(missed: Callable[..., Any]) -> Callable[..., Any]:
    """Return a step of learning: (changes, state, rate, *batch) to (changes, state, told).

    ``missed`` tells of changes and a batch how much is missed, and whatever is to be told.
    """

    @jax.jit
    def step(changes: Weights, state: Any, rate: float, *batch: Any) -> Any:
        (_, told), slope = jax.value_and_grad(missed, has_aux=True)(changes, *batch)
        update, state = RULE.update(slope, state)
        moved = jax.tree.map(lambda old, by: old - rate * by, changes, update)
        return moved, state, told

    return step


def rates(minutes: float, top: float) -> Iterator[tuple[float, float]]:
    """Yield, until the time is over, the share of it that is, and how fast to learn."""
    began, number, done = time.monotonic(), 0, 0.0
    while done < 1:
        done = min(1.0, (time.monotonic() - began) / (60 * minutes))
        yield done, top * min(1, (number + 1) / WARM_STEPS) * (0.51 + 0.49 * np.cos(np.pi * done))
        number += 1
