"""Teach the whole model the words of its work: ``python -m bench.teach --minutes 45``.

``bench.adapt`` teaches the encoder without labels; this goes on from there with sentences
whose words are known (``bench.lessons``, four fifths of the development sentences, recorded
people of the development half).  A disturbed clip is to give its words, and at each subword
in part what the untaught model says after hearing the clip undisturbed, so that its
habits of writing, and its doubt, stay as they are.  Thin matrices beside the decoder's, too,
are learned.

Needs JAX (``pip install '.[bench]'``), rendered clips and lessons.  Goes on from
``voicelog/recognition/adaptation.npz`` and writes it anew.
"""

import argparse
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import optax
import soxr

from bench import adapt, decoder, encoder
from bench.adapt import LENGTHS, TAIL, ahead, changed, padded
from bench.disturb import ways
from bench.encoder import Weights, front, layers
from bench.lessons import kept_back, rendered
from bench.material import outside, read, synthetic
from bench.sound import RATE
from bench.synth import CLIPS
from bench.writing import Pieces, ways_to_write
from voicelog.recognition import adaptation, prepare
from voicelog.recognition.prepare import LAYERS
from voicelog.recognition.vocabulary import END, START, read_pieces

COLUMNS = 16
ROOM = {40_000: 18, 64_000: 26, 96_000: 36}
"""Subwords of a window, end and all."""
LEARNING_RATE, WARM_STEPS = 5e-4, 50
OF_THE_UNTAUGHT = 0.3
"""How much of the aim is what the untaught model says."""


@dataclass
class Lesson:
    """A sound, the ways its words may be written, and what the untaught encoder hears in it."""

    sound: np.ndarray
    written: list[list[int]]
    heard: np.ndarray | None = None

    def window(self) -> int | None:
        """Return the shortest window that holds both."""
        words = max(map(len, self.written), default=0) + 1
        fits = (n for n in LENGTHS if len(self.sound) + TAIL <= n and words <= ROOM[n])
        return next(fits, None)


class Model:
    """The untaught model, and what is laid over it."""

    def __init__(self, folder: Path) -> None:
        path = adapt.shipped_encoder(folder)
        self.encoder = encoder.read(path)
        adapt.check(self.encoder, path)
        merged = folder / "merged.onnx"
        prepare.as_onnx(prepare.shipped_folder() / prepare.SHIPPED[1], merged)
        prepare.split(merged, folder)
        self.decoder, self.called = decoder.read(folder)
        self.front = jax.jit(lambda audio: front(self.encoder, audio))
        self.listen = jax.jit(lambda audio: layers(self.encoder, front(self.encoder, audio)))
        self.say = jax.jit(
            lambda sound, words: jax.nn.log_softmax(decoder.logits(self.decoder, sound, words))
        )

    def untaught(self) -> Weights:
        """Return changes of the decoder that change nothing."""
        rng, changes = np.random.default_rng(0), {}
        for (layer, key), name in self.called.items():
            shape = self.decoder[str(layer)][key].shape
            if key in decoder.VECTORS:
                changes[name] = np.zeros(shape)
            else:
                changes[f"{name}.A"] = rng.normal(0, shape[0] ** -0.5, (shape[0], COLUMNS))
                changes[f"{name}.B"] = np.zeros((COLUMNS, shape[1]))
        return adapt.wide(changes)

    def taught(self, changes: Weights) -> Weights:
        """Return the decoder's weights with the changes laid over them."""
        result = dict(self.decoder)
        for layer in range(LAYERS):
            result[str(layer)] = dict(self.decoder[str(layer)])
        for (layer, key), name in self.called.items():
            vector = key in decoder.VECTORS
            change = changes[name] if vector else changes[f"{name}.A"] @ changes[f"{name}.B"]
            result[str(layer)][key] = self.decoder[str(layer)][key] + change
        return result


def lessons(pieces: Pieces, human: Path) -> list[Lesson]:
    """Return everything there is to learn from, people last and with no words yet."""
    known = [(clip.text, clip.load()) for clip in synthetic("dev") if not kept_back(clip.text)]
    known += [(take.utterance.text, read(CLIPS / take.file)) for take in rendered()]
    found = [Lesson(s, [pieces.cut(way) for way in ways_to_write(t)]) for t, s in known]
    for clip in outside(human, "dev"):
        if clip.group in ("read", "meeting"):
            sound = clip.load()
            starts = range(0, len(sound) - 2 * RATE, 4 * RATE)
            found += [Lesson(sound[at : at + 5 * RATE], []) for at in starts]
    return [lesson for lesson in found if lesson.window()]


def prepare_lessons(model: Model, every: list[Lesson]) -> None:
    """Let the untaught model hear each clip in quiet, and choose how it would write the words."""
    for length in LENGTHS:
        members = [lesson for lesson in every if lesson.window() == length]
        for start in range(0, len(members), 8):
            part = members[start : start + 8]
            sounds = [m.sound for m in part] + [np.zeros(1)] * (8 - len(part))
            heard = np.asarray(model.listen(padded(sounds, length)))
            _choose(model, part, heard, ROOM[length])
            for member, memory in zip(part, heard, strict=False):
                member.heard = memory.astype(np.float16)
            if start % 400 == 0:
                print(f"window {length}: {start} of {len(members)}", file=sys.stderr, flush=True)


def _choose(model: Model, part: list[Lesson], heard: np.ndarray, room: int) -> None:
    """Keep of each clip's ways of writing the likeliest; write down what people say."""
    for member, memory in zip(part, heard, strict=False):
        if not member.written:
            member.written = [written_down(model, memory[None], room)]
    worth: dict[int, list[float]] = {at: [] for at in range(len(part))}
    for way in range(max(len(member.written) for member in part)):
        texts = [m.written[min(way, len(m.written) - 1)] for m in part]
        if all(len(m.written) == 1 for m in part):
            return
        words, after, told = framed(texts + [[]] * (len(heard) - len(texts)), room)
        chances = np.asarray(model.say(heard, words))
        taken = np.take_along_axis(chances, after[..., None], -1)[..., 0] * told
        for at in range(len(part)):
            worth[at].append(float(taken[at].sum()))
    for at, member in enumerate(part):
        member.written = [member.written[int(np.argmax(worth[at][: len(member.written)]))]]


def written_down(model: Model, memory: np.ndarray, room: int) -> list[int]:
    """Return the likeliest next subword, and the next, until the end."""
    words = np.zeros((1, room), np.int32)
    words[0, 0] = START
    for at in range(room - 1):
        chosen = int(np.asarray(model.say(memory, words))[0, at].argmax())
        if chosen == END:
            return words[0, 1 : at + 1].tolist()
        words[0, at + 1] = chosen
    return words[0, 1:-1].tolist()


def framed(texts: list[list[int]], room: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return subwords, the subwords after them, and which of these count."""
    words = np.full((len(texts), room), END, np.int32)
    after, told = words.copy(), np.zeros(words.shape, np.float32)
    for row, text in enumerate(texts):
        words[row, : len(text) + 1] = [START, *text]
        after[row, : len(text)] = text
        told[row, : len(text) + 1] = 1
    return words, after, told


Batch = tuple[np.ndarray, ...]


def batches(every: list[Lesson], seed: int) -> Iterator[Batch]:
    """Disturbed clips, what was heard in quiet, and the words; without end."""
    rng = np.random.default_rng(seed)
    kinds = ways([lesson.sound for lesson in every[::7]])
    members = {n: [m for m in every if m.window() == n] for n in LENGTHS}
    shares = np.array([len(m) for m in members.values()], float)
    while True:
        length = int(rng.choice(list(members), p=shares / shares.sum()))
        taken = [members[length][at] for at in rng.choice(len(members[length]), LENGTHS[length])]
        chosen = rng.choice(len(kinds), len(taken), p=np.array([*kinds.values()]))
        spoken = [_at_another_speed(rng, m.sound, length - TAIL) for m in taken]
        sounds = [[*kinds][k](rng, sound) for k, sound in zip(chosen, spoken, strict=True)]
        cut = [sound[: length - TAIL] for sound in sounds]
        heard = np.stack([m.heard for m in taken if m.heard is not None]).astype(np.float32)
        yield padded(cut, length), heard, *framed([m.written[0] for m in taken], ROOM[length])


def _at_another_speed(rng: np.random.Generator, sound: np.ndarray, most: int) -> np.ndarray:
    """Play faster and higher, or slower and lower: no voice is quite the same twice."""
    other = soxr.resample(sound, RATE, RATE * rng.uniform(0.92, 1.08))
    return other if len(other) <= most else sound


def teach(
    model: Model,
    changes: Any,
    source: Iterator[Batch],
    minutes: float,
    keep: Callable[[Any], None],
) -> None:
    """Teach the changes for so long, keeping them now and then; prints how far they have come."""

    def missed(changes: Weights, x: Any, words: Any, after: Any, told: Any, aim: Any) -> Any:
        sound = layers(changed(model.encoder, changes["encoder"]), x)
        taught = model.taught(changes["decoder"])
        chances = jax.nn.log_softmax(decoder.logits(taught, sound, words))
        word = -jnp.take_along_axis(chances, after[..., None], -1)[..., 0]
        habit = (jnp.exp(aim) * (aim - chances)).sum(-1)
        both = (1 - OF_THE_UNTAUGHT) * word + OF_THE_UNTAUGHT * habit
        return (both * told).sum() / told.sum(), (word * told).sum() / told.sum()

    rule = optax.chain(optax.clip_by_global_norm(1.0), optax.scale_by_adam(b2=0.99))

    @jax.jit
    def step(changes: Weights, state: Any, rate: float, *batch: Any) -> Any:
        (loss, word), slope = jax.value_and_grad(missed, has_aux=True)(changes, *batch)
        update, state = rule.update(slope, state)
        moved = jax.tree.map(lambda old, by: old - rate * by, changes, update)
        return moved, state, loss, word

    state, seen, number, done = rule.init(changes), [], 0, 0.0
    began = time.monotonic()
    while done < 1:
        done = min(1.0, (time.monotonic() - began) / (60 * minutes))
        rate = min(1, (number + 1) / WARM_STEPS) * (0.51 + 0.49 * np.cos(np.pi * done))
        audio, heard, words, after, told = next(source)
        aim = model.say(heard, words)
        batch = (model.front(audio), words, after, told, aim)
        changes, state, loss, word = step(changes, state, LEARNING_RATE * rate, *batch)
        seen.append((float(loss), float(word)))
        number += 1
        if number % 20 == 0:
            loss, word = np.mean(seen[-60:], axis=0)
            print(f"{number} {done:4.0%} missed {loss:.4f}, words alone {word:.4f}", flush=True)
        if number % 200 == 0:
            keep(changes)
    keep(changes)


def main() -> None:
    """Teach, and write the changes."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--minutes", type=float, default=45)
    reader.add_argument("--human", type=Path, default=Path("../shared/audio"))
    reader.add_argument("--further", type=Path, default=adaptation.FILE)
    reader.add_argument("--seed", type=int, default=7)
    reader.add_argument("--out", type=Path, default=adaptation.FILE)
    given = reader.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        model = Model(Path(folder))
    pieces = Pieces(read_pieces(prepare.shipped_folder() / prepare.SHIPPED[2]))
    every = lessons(pieces, given.human)
    prepare_lessons(model, every)
    before = adaptation.read(given.further)
    encoder_changes = adapt.wide(before.pop("encoder"))
    decoder_changes = model.untaught()
    for known in before.values():
        decoder_changes |= adapt.wide(known)
    changes = {"encoder": encoder_changes, "decoder": decoder_changes}
    crossing = {n for (_, key), n in model.called.items() if key in decoder.CROSS_MATRICES}
    teach(
        model,
        changes,
        ahead(batches(every, given.seed)),
        given.minutes,
        lambda taught: write(given.out, taught, crossing),
    )


def write(path: Path, changes: dict[str, Weights], crossing: set[str]) -> None:
    """Write changes as the log reads them; ``crossing`` names what is of the cross graph."""
    parts: dict[str, Weights] = {"encoder": changes["encoder"], "cross": {}, "step": {}}
    for name, value in changes["decoder"].items():
        crosses = name.removesuffix(".A").removesuffix(".B") in crossing
        parts["cross" if crosses else "step"][name] = value
    adapt.write(path, parts)


if __name__ == "__main__":
    main()
