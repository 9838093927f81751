"""Render the corpus: ``python -m bench.synth`` -> .cache/clips/*.flac + manifest.jsonl.

Every sentence is said by a few voices at a few speeds.  The order is that of a
hash, so the first N lines of the manifest are a fair sample; clips that exist
are kept, so a stopped run goes on where it was.  The manifest lists every clip
of the corpus that exists, so ``--split`` and ``--limit`` drop no other line.
"""

import argparse
import hashlib
import json
import os
import sys
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
import soundfile
import soxr

from bench.sound import RATE, level, trim
from bench.speak import speak
from bench.utterances import Utterance, load
from bench.voices import CACHE, VOICES, Voice

CLIPS = CACHE / "clips"
MANIFEST = CACHE / "manifest.jsonl"
STRANGERS = CACHE / "strangers.jsonl"
SPEEDS = (0.85, 1.0, 1.2)
TAKES = {"plain": 3, "everyday": 4, "ask": 2, "outside": 2}
"""How often a sentence is said; sheets of another style are read as text only."""
UNTAUGHT_TAKES = 1
"""How often one of development is said that teaches nothing."""


@dataclass(frozen=True)
class Take:
    """One sentence said once."""

    utterance: Utterance
    voice: Voice
    speed: float

    @property
    def file(self) -> str:
        key = f"{self.utterance.text}|{self.voice.name}|{self.speed}"
        return f"{hashlib.sha256(key.encode()).hexdigest()[:16]}.flac"


def _number(text: str) -> int:
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8])


def takes_of(said: Utterance) -> int:
    """Return how often a sentence is said."""
    most = TAKES.get(said.style, 0)
    return most if said.teaches or said.split == "test" else min(most, UNTAUGHT_TAKES)


def plan() -> list[Take]:
    """Which voice says which sentence how fast, in a shuffled order.

    All of it follows from the words alone, so that a new sentence moves no other.
    """
    takes: list[Take] = []
    for u in load():
        voices = [v for v in VOICES if u.split == "test" or not v.held_out]
        n = _number(u.text)
        takes += [
            Take(u, voices[(n + 7 * i) % len(voices)], SPEEDS[(n // 1000 + i) % len(SPEEDS)])
            for i in range(takes_of(u))
        ]
    return sorted(takes, key=lambda take: take.file)


def render(take: Take) -> float:
    """Write the clip unless it is there; return its length in seconds."""
    path = CLIPS / take.file
    if not path.exists():
        audio, rate = speak(take.voice, take.utterance.text, take.speed)
        audio = soxr.resample(np.asarray(audio, np.float32), rate, RATE)
        part = path.with_suffix(f".{os.getpid()}.part")
        soundfile.write(part, level(trim(audio)), RATE, format="FLAC", subtype="PCM_16")
        part.rename(path)
    return float(soundfile.info(path).duration)


def line(take: Take, seconds: float) -> str:
    said = asdict(take.utterance)
    return json.dumps(
        {
            "file": f"clips/{take.file}",
            **said,
            "voice": take.voice.name,
            "natural": take.voice.natural,
            "accent": take.voice.accent,
            "held_out": take.voice.held_out,
            "speed": take.speed,
            "duration_s": round(seconds, 3),
        }
    )


def run(takes: list[Take], jobs: int) -> Iterator[tuple[Take, float]]:
    if jobs == 1:
        yield from ((take, render(take)) for take in takes)
        return
    with ProcessPoolExecutor(jobs) as pool:
        yield from zip(takes, pool.map(render, takes, chunksize=4), strict=True)


def write_manifest(takes: Iterable[Take], manifest: Path = MANIFEST) -> int:
    """List the takes whose clips exist; return how many.  Replaced whole or not at all."""
    there = [take for take in takes if (CLIPS / take.file).exists()]
    part = manifest.with_suffix(f".{os.getpid()}.part")
    part.write_text("".join(f"{line(take, render(take))}\n" for take in there), "utf-8")
    part.rename(manifest)
    return len(there)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--split", choices=["dev", "test"], help="only this split's takes")
    parser.add_argument("--limit", type=int, help="only the first N takes")
    parser.add_argument("--jobs", type=int, default=1, help="processes (one thread each)")
    args = parser.parse_args()
    CLIPS.mkdir(parents=True, exist_ok=True)
    takes = [t for t in plan() if args.split in (None, t.utterance.split)][: args.limit]
    for n, (take, _) in enumerate(run(takes, args.jobs), 1):
        print(f"\r{n}/{len(takes)} {take.voice.name:32}", end="", file=sys.stderr)
    print(f"\n{write_manifest(plan())} clips in {MANIFEST}", file=sys.stderr)


if __name__ == "__main__":
    main()
