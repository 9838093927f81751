"""Measure the recognisers: ``python -m bench.recognition`` -> JSON, one table, one plot.

The manifest is shuffled, so ``--limit 150`` is a fair quick estimate.  Each
engine runs in a process of its own, so that its peak memory is its own.
"""

import argparse
import json
import multiprocessing
import resource
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bench import material
from bench.conditions import NAMES, Conditions
from bench.engines import MAKERS, Engine
from bench.material import Clip
from bench.score import Answer, judge, stores, wrong_values
from bench.show import plot, table
from bench.sound import RATE
from bench.summary import summarise
from bench.voices import CACHE
from voicelog.audio.endpoint import segments

OUT = CACHE / "results"
STATES = ("idle", "open")
QUICK = ("clean", "pump20", "pump10", "pump5")


@dataclass(frozen=True)
class Job:
    """What one engine has to listen to."""

    engine: str
    conditions: tuple[str, ...]
    clips: tuple[Clip, ...]
    digits: tuple[Clip, ...]
    outside: tuple[Clip, ...]
    talkers: tuple[Clip, ...]


def _record(clip: Clip, condition: str, answer: Answer, seconds: float) -> dict[str, Any]:
    offered = any(judge(clip.expect, [t], Answer("understood", a)) == "right"
                  for t in clip.truths for a in answer.alternatives)  # fmt: skip
    return {
        "key": clip.key,
        "condition": condition,
        "group": clip.group,
        "expect": clip.expect,
        "text": clip.text,
        "truth": clip.truths[0] if clip.truths else {},
        "verdict": judge(clip.expect, clip.truths, answer),
        "outcome": answer.outcome,
        "slots": dict(answer.slots),
        "offered": offered,
        "heard": answer.text,
        "wrong_values": wrong_values(clip.truths, answer) if stores(answer) else {},
        "ms": round(answer.ms, 1),
        "seconds": round(seconds, 3),
        "voice": clip.info.get("voice"),
        "natural": clip.info.get("natural"),
        "speed": clip.info.get("speed"),
    }


def _listen(engine: Engine, job: Job) -> list[dict[str, Any]]:
    """Every clip under every condition, then the recorded digits as they are."""
    conditions = Conditions([clip.load() for clip in job.talkers])
    found = []
    todo = [(c, clip) for c in job.conditions for clip in job.clips]
    todo += [("human", clip) for clip in job.digits]
    started = time.monotonic()
    for n, (condition, clip) in enumerate(todo, 1):
        audio = clip.load()
        if condition != "human":
            audio = conditions.apply(condition, clip.key, audio)
        answer = engine.hear(audio, clip.live)
        found.append(_record(clip, condition, answer, len(audio) / RATE))
        left = (time.monotonic() - started) / n * (len(todo) - n)
        print(f"\r{job.engine} {condition} {n}/{len(todo)}, {left:.0f} s left  ", end="",
              file=sys.stderr)  # fmt: skip
    print(file=sys.stderr)
    return found


def _overhear(engine: Engine, clips: tuple[Clip, ...]) -> list[dict[str, Any]]:
    """Recordings nobody meant for the log, cut by its own endpointer, in both states."""
    found = []
    for clip in clips:
        audio = clip.load()
        pieces = segments(audio)
        for state in STATES:
            for piece in pieces:
                if piece.cut:  # never decoded at the bedside either
                    continue
                answer = engine.hear(np.asarray(piece.audio, np.float32), state)
                found.append({
                    "key": clip.key, "state": state, "group": clip.group,
                    "start_ms": piece.start_ms, "stored": stores(answer),
                    "asked": answer.outcome == "ask", "slots": dict(answer.slots),
                    "heard": answer.text,
                })  # fmt: skip
            found.append({"key": clip.key, "state": state, "group": clip.group,
                          "seconds": len(audio) / RATE})  # fmt: skip
    return found


def measure(job: Job) -> dict[str, Any]:
    """Run one engine over its job; called in a fresh process."""
    engine = MAKERS[job.engine]()
    engine.hear(np.zeros(RATE, np.float32), "open")  # loading is not latency
    answers = _listen(engine, job)
    overheard = _overhear(engine, job.outside)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {
        "engine": job.engine,
        "peak_mb": round(peak_mb),
        "answers": answers,
        "overheard": overheard,
    }


def _arguments(argv: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--engines", default="constrained,free,whisper", help="comma list")
    parser.add_argument("--conditions", default="all", help="'all', 'quick' or a comma list")
    parser.add_argument("--limit", type=int, help="only the first N clips (a fair sample)")
    parser.add_argument("--split", choices=["dev", "test", "all"], default="dev")
    parser.add_argument("--natural", action="store_true", help="neural voices only")
    parser.add_argument("--human", type=Path, help="folder of recordings with manifest.jsonl")
    parser.add_argument("--out", type=Path, default=OUT, help="folder for results")
    parser.add_argument("--name", default="recognition", help="name of the result files")
    return parser.parse_args(argv)


def _job(args: argparse.Namespace, engine: str) -> Job:
    names = {"all": NAMES, "quick": QUICK}.get(args.conditions)
    clips = material.synthetic(args.split)
    talkers = [c for c in clips if c.group == "outside"]
    clips = [c for c in clips if c.info["natural"] or not args.natural]
    return Job(
        engine=engine,
        conditions=tuple(names or args.conditions.split(",")),
        clips=tuple(clips[: args.limit]),
        digits=tuple(material.framed_digits(args.human, args.split)[: args.limit])
        if args.human
        else (),
        outside=tuple(material.outside(args.human, args.split)) if args.human else (),
        talkers=tuple(talkers),
    )


def main(argv: list[str] | None = None) -> None:
    args = _arguments(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    runs = []
    for engine in args.engines.split(","):
        # a fresh process for each engine: nothing of the last one counts as its memory
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            run = pool.apply(measure, (_job(args, engine),))
        details = args.out / f"{args.name}-{engine}.jsonl"
        rows = run["answers"] + run["overheard"]
        details.write_text("".join(json.dumps(r) + "\n" for r in rows), "utf-8")
        runs.append(run)
    summary = {
        "split": args.split,
        "limit": args.limit,
        "natural_only": args.natural,
        "engines": [summarise(run) for run in runs],
    }
    path = args.out / f"{args.name}.json"
    path.write_text(json.dumps(summary, indent=1), "utf-8")
    table(summary)
    plot(summary, path.with_suffix(".png"))
    print(f"{path} and {path.with_suffix('.png')}")


if __name__ == "__main__":
    main()
