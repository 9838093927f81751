"""Teach the whole model the words of its work: ``python -m bench.teach --minutes 45``.

``bench.adapt`` teaches the encoder without labels; this goes on from there with sentences
whose words are known (``bench.lessons``, four fifths of the development sentences, recorded
people and digits of the development half).  A disturbed clip is to give its words, and at
each subword in part what the untaught model says after hearing the clip undisturbed, so that
its habits of writing, and its doubt, stay as they are.  Thin matrices beside the decoder's,
too, are learned.

Needs JAX (``pip install '.[bench]'``), rendered clips and lessons.  Goes on from
``voicelog/recognition/adaptation.npz`` and writes it anew.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import soxr

from bench import adapt, decoder, encoder, thin
from bench.adapt import LENGTHS, TAIL, ahead, padded
from bench.disturb import coloured, ways
from bench.encoder import CALLED, Weights, front, layers
from bench.lessons import kept_back, rendered
from bench.lookalikes import lookalike
from bench.material import KEPT_DIGITS, framed_digits, read, synthetic
from bench.sound import RATE
from bench.writing import Pieces, ways_to_write
from voicelog.recognition import adaptation, prepare
from voicelog.recognition.vocabulary import END, START, read_pieces

COLUMNS = 16
ROOM = {40_000: 18, 64_000: 26, 96_000: 36}
"""Subwords of a window, end and all."""
LEARNING_RATE = 5e-4
MICROPHONE_DB = 5
OF_PEOPLE = 3
"""How often a recorded digit is taught for each time a rendered sentence is."""
OF_THE_UNTAUGHT = 0.3
"""How much of the aim is what the untaught model says."""
APART = 0.3
"""What a sentence counts that is not told from its lookalike, beside a missed word."""

Changes = dict[str, Weights]
"""By graph ("encoder", "cross", "step") and name."""


@dataclass
class Lesson:
    """A sound, the ways its words may be written, and what the untaught encoder hears in it.

    ``text`` is what was said, as far as it is known.
    """

    sound: np.ndarray
    written: list[list[int]]
    heard: np.ndarray | None = None
    text: str = ""
    in_figures: bool = False

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
        adapt.shipped_decoder(folder)
        self.decoder, self.called = decoder.read(folder)
        self.front = jax.jit(lambda audio: front(self.encoder, audio))
        self.listen = jax.jit(lambda audio: layers(self.encoder, front(self.encoder, audio)))
        self.say = jax.jit(
            lambda sound, words: jax.nn.log_softmax(decoder.logits(self.decoder, sound, words))
        )

    def changes(self, known: dict[str, adaptation.Arrays]) -> Changes:
        """Return known changes by graph, and where a graph has none, such as change nothing."""
        graphs = {"cross": {}, "step": {}}
        for (layer, key), name in self.called.items():
            graphs["cross" if key in decoder.CROSS_MATRICES else "step"][layer, key] = name
        begun = {g: thin.nothing(self.decoder, called, COLUMNS) for g, called in graphs.items()}
        return begun | {graph: thin.wide(part) for graph, part in known.items()}

    def score(self, changes: Changes, x: Any, words: Any) -> Any:
        """Return log-probabilities of next subwords, the changes laid over."""
        sound = layers(thin.laid(self.encoder, CALLED, changes["encoder"]), x)
        sound = jnp.concatenate([sound] * (len(words) // len(x)))
        both = changes["cross"] | changes["step"]
        taught = thin.laid(self.decoder, self.called, both)
        return jax.nn.log_softmax(decoder.logits(taught, sound, words))


def lessons(pieces: Pieces, human: Path) -> list[Lesson]:
    """Return everything there is to learn from, people last and with no words yet."""
    known = [(clip.text, clip.load()) for clip in synthetic("dev") if not kept_back(clip.text)]
    known += [(text, read(path)) for text, path in rendered()]
    for number, clip in enumerate(framed_digits(human, "dev")):
        if number % KEPT_DIGITS:
            known += [(clip.text, clip.load())] * OF_PEOPLE
    found = [Lesson(s, [pieces.cut(w) for w in ways_to_write(t)], text=t) for t, s in known]
    found += [Lesson(sound, []) for sound in adapt.people(human)]
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
    most = max(len(member.written) for member in part)
    if most == 1:
        return
    worth = np.stack([_worth(model, part, heard, room, way) for way in range(most)])
    for member, of_each in zip(part, worth.T, strict=True):
        chosen = int(np.argmax(of_each[: len(member.written)]))
        member.written, member.in_figures = [member.written[chosen]], chosen > 0


def _worth(model: Model, part: list[Lesson], heard: np.ndarray, room: int, way: int) -> np.ndarray:
    """Return how likely each clip is to be written in this way; the last if there are fewer."""
    texts = [member.written[min(way, len(member.written) - 1)] for member in part]
    words, after, told = framed(texts + [[]] * (len(heard) - len(texts)), room)
    chances = np.asarray(model.say(heard, words))
    taken = np.take_along_axis(chances, after[..., None], -1)[..., 0] * told
    return taken.sum(-1)[: len(part)]


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


class Draw:
    """Lessons at random, disturbed."""

    def __init__(self, every: list[Lesson], seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.kinds = ways([lesson.sound for lesson in every[::7]])
        self.members = {n: [m for m in every if m.window() == n] for n in LENGTHS}

    def __call__(self, part: int = 1) -> tuple[list[Lesson], int, np.ndarray, np.ndarray]:
        """Return a batch or a part of one: lessons, length, sounds, what is heard in quiet."""
        rng, kinds, members = self.rng, self.kinds, self.members
        shares = np.array([len(m) for m in members.values()], float)
        length = int(rng.choice(list(members), p=shares / shares.sum()))
        drawn = rng.choice(len(members[length]), LENGTHS[length] // part)
        taken = [members[length][at] for at in drawn]
        chosen = rng.choice(len(kinds), len(taken), p=np.array([*kinds.values()]))
        spoken = [_as_another(rng, m.sound, length - TAIL) for m in taken]
        sounds = [[*kinds][k](rng, sound) for k, sound in zip(chosen, spoken, strict=True)]
        cut = [sound[: length - TAIL] for sound in sounds]
        heard = np.stack([m.heard for m in taken if m.heard is not None]).astype(np.float32)
        return taken, length, padded(cut, length), heard


def batches(every: list[Lesson], seed: int) -> Iterator[Batch]:
    """Disturbed clips, what was heard in quiet, and the words; without end."""
    draw = Draw(every, seed)
    while True:
        taken, length, audio, heard = draw()
        yield audio, heard, *framed([m.written[0] for m in taken], ROOM[length])


def pairs(every: list[Lesson], pieces: Pieces, seed: int) -> Iterator[Batch]:
    """The same of half as many clips with numbers, their words first, then their lookalikes'."""
    numbers = [lesson for lesson in every if lookalike(Random(0), lesson.text)]
    draw, rng = Draw(numbers, seed), Random(seed)
    while True:
        taken, length, audio, heard = draw(2)
        others = [ways_to_write(lookalike(rng, m.text) or "")[-m.in_figures] for m in taken]
        room = ROOM[length]
        texts = [m.written[0] for m in taken] + [pieces.cut(o)[: room - 1] for o in others]
        yield audio, heard, *framed(texts, room)


def _as_another(rng: np.random.Generator, sound: np.ndarray, most: int) -> np.ndarray:
    """Play faster and higher, or slower and lower, at times through another microphone."""
    other = soxr.resample(sound, RATE, RATE * rng.uniform(0.9, 1.1))
    if len(other) > most:
        other = sound
    return coloured(rng, other, MICROPHONE_DB) if rng.random() < 0.5 else other


def missed(chances: Any, after: Any, told: Any, aim: Any) -> tuple[Any, Any]:
    """Return how much is missed of the words and the untaught model's habits, and of the words."""
    word = -jnp.take_along_axis(chances, after[..., None], -1)[..., 0]
    habit = (jnp.exp(aim) * (aim - chances)).sum(-1)
    both = (1 - OF_THE_UNTAUGHT) * word + OF_THE_UNTAUGHT * habit
    loss, words_alone = ((part * told).sum() / told.sum() for part in (both, word))
    return loss, words_alone


def mistaken(chances: Any, after: Any, told: Any) -> tuple[Any, Any]:
    """Return how much lookalikes (the second half) are taken for what was said, and how many."""
    likely = (jnp.take_along_axis(chances, after[..., None], -1)[..., 0] * told).sum(-1)
    said, other = jnp.split(likely, 2)
    return jax.nn.softplus(other - said).mean(), (other > said).mean()


def teach(
    model: Model,
    changes: Changes,
    sources: tuple[Iterator[Batch], Iterator[Batch]],
    minutes: float,
    keep: Callable[[Changes], None],
) -> None:
    """Teach the changes for so long, keeping them now and then; prints how far they have come.

    Every second batch is one of pairs.
    """

    def words_missed(changes: Changes, x: Any, words: Any, after: Any, told: Any, aim: Any) -> Any:
        chances = model.score(changes, x, words)
        half = len(x)
        loss, alone = missed(chances[:half], after[:half], told[:half], aim[:half])
        if half == len(words):
            return loss, jnp.stack([loss, alone])
        apart, wrong = mistaken(chances, after, told)
        return loss + APART * apart, jnp.stack([apart, wrong])

    step, state = thin.stepper(words_missed), thin.RULE.init(changes)
    seen: tuple[list[Any], list[Any]] = ([], [])
    for number, (done, rate) in enumerate(thin.rates(minutes, LEARNING_RATE)):
        paired = number % 2
        audio, heard, words, after, told = next(sources[paired])
        said = model.say(heard, words[: len(heard)])
        batch = (model.front(audio), words, after, told, said)
        changes, state, found = step(changes, state, rate, *batch)
        seen[paired].append(np.asarray(found))
        if number % 40 == 39:
            told_of = [f"{value:.4f}" for part in seen for value in np.mean(part[-100:], axis=0)]
            print(f"{number} {done:4.0%} missed, words, apart, mistaken", *told_of, flush=True)
        if number % 200 == 199:
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
    teach(
        model,
        model.changes(adaptation.read(given.further)),
        (ahead(batches(every, given.seed)), ahead(pairs(every, pieces, given.seed))),
        given.minutes,
        lambda changes: thin.write(given.out, changes),
    )


if __name__ == "__main__":
    main()
