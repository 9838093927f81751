"""The English model's encoder written for JAX, so that it can be taught.

The shapes and steps are those of the shipped graph (Jeffries et al., 2024, "Moonshine"):
three convolutions, eight layers of attention with rotary positions, each with a
two-matrix network.  ``python -m bench.adapt`` checks it against onnxruntime first.
"""

from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import onnx
from onnx import numpy_helper

from voicelog.recognition.acoustic import HEADS
from voicelog.recognition.adaptation import plain
from voicelog.recognition.prepare import LAYERS, WIDTH

TURNED = 32
"""``TURNED`` of each head's 52 numbers carry the position."""
MATRICES = ("q", "k", "v", "o", "in", "out")
VECTORS = ("before", "after", "in_bias", "out_bias")
FIRST_NUMBER, SECOND_NUMBER, STRIDE = 1947, 1991, 47
"""How the shipped graph numbers a layer's matrices: q, k, v from the first on, the others
from the second on."""

Weights = dict[str, Any]


def _names(layer: int) -> dict[str, str]:
    """Return what the shipped graph calls each weight of a layer."""
    numbers = [FIRST_NUMBER + STRIDE * layer + at for at in range(3)]
    numbers += [SECOND_NUMBER + STRIDE * layer + at for at in range(3)]
    found = {key: f"onnx::MatMul_{n}" for key, n in zip(MATRICES, numbers, strict=True)}
    return found | {
        "before": f"layers.{layer}.input_layernorm.weight",
        "after": f"layers.{layer}.post_attention_layernorm.weight",
        "in_bias": f"layers.{layer}.mlp.fc1.bias",
        "out_bias": f"layers.{layer}.mlp.fc2.bias",
    }


CALLED = {(layer, key): name for layer in range(LAYERS) for key, name in _names(layer).items()}


def read(path: Path) -> Weights:
    """Return the weights of a shipped encoder, written out as ONNX."""
    held = {tensor.name: tensor for tensor in onnx.load(str(path)).graph.initializer}

    def array(name: str) -> np.ndarray:
        return numpy_helper.to_array(held[name])

    weights: Weights = {
        "conv1": plain(held, "conv1.weight"),
        "conv2": plain(held, "conv2.weight"),
        "conv2_bias": array("conv2.bias"),
        "conv3": plain(held, "conv3.weight"),
        "conv3_bias": array("conv3.bias"),
        "norm": array("onnx::Mul_1942"),
        "norm_bias": array("onnx::Add_1943"),
        "last": array("layer_norm.weight"),
        "turns": array("/rotary_emb/Cast_1_output_0").reshape(-1),
    }
    for layer in range(LAYERS):
        weights[str(layer)] = {
            key: plain(held, name) if key in MATRICES else array(name)
            for key, name in _names(layer).items()
        }
    return jax.tree.map(jnp.asarray, weights)


def _gelu(x: jax.Array) -> jax.Array:
    return jax.nn.gelu(x, approximate=False)


def levelled(x: jax.Array, weight: jax.Array) -> jax.Array:
    """Return ``x`` at mean 0 and spread 1, times ``weight``."""
    mean = x.mean(-1, keepdims=True)
    spread = ((x - mean) ** 2).mean(-1, keepdims=True)
    return (x - mean) * jax.lax.rsqrt(spread + 1e-5) * weight


def _convolved(x: jax.Array, weight: jax.Array, stride: int) -> jax.Array:
    order = ("NCH", "OIH", "NCH")
    return jax.lax.conv_general_dilated(x, weight, (stride,), "VALID", dimension_numbers=order)


def turned(x: jax.Array, cosine: jax.Array, sine: jax.Array) -> jax.Array:
    """Return heads with the position turned into their first numbers."""
    near, rest = x[..., :TURNED], x[..., TURNED:]
    crossed = jnp.stack([-near[..., 1::2], near[..., 0::2]], -1).reshape(near.shape)
    return jnp.concatenate([near * cosine + crossed * sine, rest], -1)


def positions(weights: Weights, steps: int) -> tuple[jax.Array, jax.Array]:
    """Return the cosines and sines that turn ``steps`` positions in."""
    angle = jnp.repeat(jnp.arange(steps)[:, None] * weights["turns"][None], 2, -1)
    return jnp.cos(angle), jnp.sin(angle)


def heads(x: jax.Array) -> jax.Array:
    """Return (batch, steps, 416) as (batch, heads, steps, 52)."""
    batch, steps, _ = x.shape
    return x.reshape(batch, steps, HEADS, -1).transpose(0, 2, 1, 3)


def attended(
    queries: jax.Array, keys: jax.Array, values: jax.Array, barred: jax.Array | float = 0.0
) -> jax.Array:
    """Return what the queries find, (batch, steps, 416); ``barred`` is added to the scores."""
    look = queries @ keys.transpose(0, 1, 3, 2) / np.sqrt(WIDTH / HEADS) + barred
    found = (jax.nn.softmax(look, -1) @ values).transpose(0, 2, 1, 3)
    return found.reshape(*found.shape[:2], WIDTH)


def front(weights: Weights, audio: jax.Array) -> jax.Array:
    """Return what the convolutions make of ``audio`` (batch, samples): (batch, frames, 416)."""
    x = jnp.tanh(_convolved(audio[:, None], weights["conv1"], 64))
    mean = x.mean((1, 2), keepdims=True)
    spread = ((x - mean) ** 2).mean((1, 2), keepdims=True)
    x = (x - mean) * jax.lax.rsqrt(spread + 1e-5) * weights["norm"] + weights["norm_bias"]
    x = _gelu(_convolved(x, weights["conv2"], 3) + weights["conv2_bias"][:, None])
    x = _gelu(_convolved(x, weights["conv3"], 2) + weights["conv3_bias"][:, None])
    return x.transpose(0, 2, 1)


def layers(weights: Weights, x: jax.Array) -> jax.Array:
    """Return what the attention layers make of the convolutions' result."""
    cosine, sine = positions(weights, x.shape[1])
    for layer in range(LAYERS):
        of = weights[str(layer)]
        level = levelled(x, of["before"])
        q, k, v = (heads(level @ of[key]) for key in ("q", "k", "v"))
        x += attended(turned(q, cosine, sine), turned(k, cosine, sine), v) @ of["o"]
        inner = _gelu(levelled(x, of["after"]) @ of["in"] + of["in_bias"])
        x += inner @ of["out"] + of["out_bias"]
    return levelled(x, weights["last"])
