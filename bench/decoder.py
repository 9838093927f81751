"""The English model's decoder written for JAX, so that it can be taught.

The shapes and steps are those of the shipped graphs: eight layers, each looking back at the
text so far (rotary positions), then at the sound, then through a gated network.  ``read``
names weights as the two graphs do that ``voicelog.recognition.prepare`` splits off.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import onnx
from onnx import numpy_helper

from bench.encoder import Weights, attended, heads, levelled, positions, turned
from voicelog.recognition.adaptation import plain
from voicelog.recognition.prepare import LAYERS

STEP_MATRICES = {
    "q": "self_attn/q_proj",
    "k": "self_attn/k_proj",
    "v": "self_attn/v_proj",
    "o": "self_attn/dense",
    "look": "encoder_attn/q_proj",
    "seen": "encoder_attn/dense",
    "up": "mlp/up_proj",
    "down": "mlp/down_proj",
}
CROSS_MATRICES = ("key", "value")
VECTORS = {
    "before": "input_layernorm.weight",
    "between": "post_attention_layernorm.weight",
    "after": "final_layernorm.weight",
    "up_bias": "mlp.up_proj.bias",
    "down_bias": "mlp.down_proj.bias",
}
UNPACKED = "_add_tensor"


def names(cross: Any, step: Any) -> dict[tuple[int, str], str]:
    """Return what the two graphs (``onnx.ModelProto``) call each weight of a layer."""
    found: dict[tuple[int, str], str] = {}
    for node in step.graph.node:
        for key, place in STEP_MATRICES.items():
            for layer in range(LAYERS):
                if node.name == f"/model/decoder/layers.{layer}/{place}/MatMul":
                    found[layer, key] = node.input[1].removesuffix(UNPACKED)
    maker = {name: node for node in cross.graph.node for name in node.output}
    for layer in range(LAYERS):
        for key in CROSS_MATRICES:
            product = maker[maker[f"{key}.{layer}"].input[0]]
            found[layer, key] = product.input[1].removesuffix(UNPACKED)
        for key, place in VECTORS.items():
            found[layer, key] = f"model.decoder.layers.{layer}.{place}_merged_0"
    return found


def read(folder: Path) -> tuple[Weights, dict[tuple[int, str], str]]:
    """Return the weights of a shipped decoder that has been split, and their names."""
    cross, step = (onnx.load(str(folder / name)) for name in ("cross.onnx", "step.onnx"))
    called = names(cross, step)
    held = {t.name: t for model in (cross, step) for t in model.graph.initializer}
    weights: Weights = {
        "words": plain(held, "model.decoder.embed_tokens.weight_merged_0"),
        "last": numpy_helper.to_array(held["model.decoder.norm.weight_merged_0"]),
        "turns": numpy_helper.to_array(held["/model/decoder/rotary_emb/Cast_1_output_0"]).ravel(),
    }
    for layer in range(LAYERS):
        weights[str(layer)] = dict(_layer(held, called, layer))
    return jax.tree.map(jnp.asarray, weights), called


def _layer(
    held: dict[str, Any], called: dict[tuple[int, str], str], layer: int
) -> Iterator[tuple[str, np.ndarray]]:
    for (at, key), name in called.items():
        if at == layer:
            vector = key in VECTORS
            yield key, numpy_helper.to_array(held[name]) if vector else plain(held, name)


def logits(weights: Weights, sound: jax.Array, words: jax.Array) -> jax.Array:
    """Return the scores of each next subword: (batch, steps, 32768).

    Args:
        weights: as ``read`` gives them.
        sound: what the encoder made, (batch, frames, 416).
        words: subwords so far, the start first, (batch, steps).
    """
    steps = words.shape[1]
    x = weights["words"][words]
    cosine, sine = positions(weights, steps)
    ahead = jnp.triu(jnp.full((steps, steps), -1e9), 1)
    for layer in range(LAYERS):
        of = weights[str(layer)]
        level = levelled(x, of["before"])
        q, k, v = (heads(level @ of[key]) for key in ("q", "k", "v"))
        x += attended(turned(q, cosine, sine), turned(k, cosine, sine), v, ahead) @ of["o"]
        q = heads(levelled(x, of["between"]) @ of["look"])
        x += attended(q, heads(sound @ of["key"]), heads(sound @ of["value"])) @ of["seen"]
        both = levelled(x, of["after"]) @ of["up"] + of["up_bias"]
        inner, gate = jnp.split(both, 2, -1)
        x += (jax.nn.silu(gate) * inner) @ of["down"] + of["down_bias"]
    return levelled(x, weights["last"]) @ weights["words"].T
