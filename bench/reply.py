"""How soon is the answer there?  ``python -m bench.reply`` -> median and 95th percentile.

Clips are played in real time through the live loop: endpointer, decoding on trust,
dialogue, a journal on disk and the voice.  What is timed runs from the last loud
20 ms of a clip to the first sample of the reply, handed to a player that only
takes the time.  Nothing else should run on the machine meanwhile.
"""

import argparse
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from bench.engines import _moonshine
from bench.material import Clip, synthetic
from bench.sound import FRAME, RATE, active
from voicelog import data
from voicelog.audio.endpoint import Endpointer
from voicelog.audio.sound import WINDOW, WINDOW_MS, Sound
from voicelog.audio.source import BLOCK_S, Block
from voicelog.careplan import load_plan
from voicelog.cli.common import voice_settings
from voicelog.cli.session import conversation, system_clock
from voicelog.journal import Journal
from voicelog.recognition.protocol import Recognition
from voicelog.runner.listening import Listener
from voicelog.runner.speaking import SpokenMouth
from voicelog.voice.fixed import fixed_sentences
from voicelog.voice.speech import PyttsxVoice

GAP_S = 2.5
"""Between clips, long enough for the answer to have begun."""


@dataclass
class Stopwatch:
    """A player that plays nothing and notes when it was to begin."""

    begun: list[float] = field(default_factory=list)

    def play(self, sound: Sound, *, gain: float = 1.0) -> bool:
        self.begun.append(time.monotonic())
        return True

    def stop(self) -> None:
        pass


@dataclass
class Room:
    """Clips with silence between them, in real time; ``ends`` is when each fell silent."""

    clips: list[Clip]
    ends: list[float] = field(default_factory=list)

    def __iter__(self) -> Iterator[Block]:
        hiss = np.random.default_rng(1)
        start, number = time.monotonic(), 0
        for clip in self.clips:
            sound = clip.load()
            spoken = (int(np.flatnonzero(active(sound))[-1]) + 1) * FRAME / RATE
            self.ends.append(start + number * BLOCK_S + spoken)
            both = np.concatenate([sound, np.zeros(round(GAP_S * RATE), np.float32)])
            both += 1e-4 * hiss.standard_normal(len(both)).astype(np.float32)
            for at in range(0, len(both) - WINDOW, WINDOW):
                due = start + (number + 1) * BLOCK_S
                time.sleep(max(0.0, due - time.monotonic()))
                yield Block(both[at : at + WINDOW], number * WINDOW_MS, due)
                number += 1


def deaf() -> AbstractContextManager[None]:
    return nullcontext()


def waits(clips: list[Clip], folder: Path) -> tuple[list[float], list[int]]:
    """Seconds from each clip's end to the first reply, and each decoding's milliseconds."""
    plan = load_plan(data.folder("demo_audio") / "plan.toml")
    engine = _moonshine()
    player, room = Stopwatch(), Room(clips)
    voice = PyttsxVoice(voice_settings("en"), folder / "speech")
    voice.prerender(fixed_sentences("en"))
    mouth = SpokenMouth(voice, player, deaf)
    decoded: list[int] = []

    def heard(found: Recognition) -> None:
        decoded.append(found.decode_ms)
        print(f"\r{len(decoded)}/{len(clips)}", end="", file=sys.stderr)

    with Journal.open(folder / "journal.sqlite", child=plan.child.name) as journal:
        talk = conversation(plan, journal, engine.grammar, mouth, system_clock(plan))
        talk.start()
        talk.hear(Recognition(outcome="understood", slots={"action": "start_suction"}))
        Listener(talk, engine, Endpointer(), heard, engine.grammar.unfinished).run(room)
    mouth.close()
    found = []
    for end, following in zip(room.ends, [*room.ends[1:], float("inf")], strict=True):
        first = next((at for at in player.begun if end < at < following), None)
        if first is not None:
            found.append(first - end)
    return found, decoded


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--clips", type=int, default=60)
    given = reader.parse_args()
    clips = [
        clip
        for clip in synthetic("dev")
        if clip.info["natural"] and clip.expect == "entry" and "action" not in clip.truths[0]
    ]
    with tempfile.TemporaryDirectory() as folder:
        found, decoded = waits(clips[: given.clips], Path(folder))
    print(file=sys.stderr)
    print(f"{len(found)} of {given.clips} clips answered")
    for name, values in (("reply, ms", [1000 * x for x in found]), ("decoding, ms", decoded)):
        middle, late = np.quantile(values, [0.5, 0.95])
        print(f"{name}: median {middle:.0f}, 95 % {late:.0f}")


if __name__ == "__main__":
    main()
