"""Voices the model has never heard: ``python -m bench.strangers --jobs 2``.

Every development sentence that taught nothing is said once more, by a voice that lies beyond
one of the synthesiser's as seen from another.  No lesson is said so, and the model is less
sure of these voices than of those that taught it, as it will be of people: the confidence is
fitted on them too.
"""

import argparse
import sys
from random import Random

from bench.lessons import FASTEST, SLOWEST, kept_back, mixed, speakers
from bench.synth import CLIPS, STRANGERS, TAKES, Take, run, write_manifest
from bench.utterances import load
from bench.voices import Voice

BEYOND = (-0.3, -0.45, -0.15)


def plan(voices: list[Voice], seed: int = 31) -> list[Take]:
    """Return each sentence with a voice and a speed, in a shuffled order.

    All of it follows from the words, so that a new sentence moves no other.
    """
    takes = []
    for said in load():
        if said.split == "dev" and said.style in TAKES and kept_back(said.text):
            rng = Random(f"{seed} {said.text}")
            voice = mixed(rng, voices, BEYOND)
            takes.append(Take(said, voice, round(rng.uniform(SLOWEST, FASTEST), 2)))
    return sorted(takes, key=lambda take: take.file)


def main() -> None:
    """Render what is missing, and list what there is."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--limit", type=int, help="only the first N")
    given = parser.parse_args()
    CLIPS.mkdir(parents=True, exist_ok=True)
    chosen = plan(speakers())[: given.limit]
    for n, _ in enumerate(run(chosen, given.jobs), 1):
        print(f"\r{n}/{len(chosen)}", end="", file=sys.stderr, flush=True)
    print(f"\n{write_manifest(chosen, STRANGERS)} clips in {STRANGERS}", file=sys.stderr)


if __name__ == "__main__":
    main()
