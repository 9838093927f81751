"""Sentences to teach the model with, said by many voices: ``python -m bench.lessons --jobs 2``.

Two in three are development sentences with other numbers and other words of the same kind
in them, the rest come out of the grammar.  None is a sentence of the test half or of the
fifth of the development sentences that is kept for looking at the result, and no voice that
the test half holds back speaks here.  Two thirds are said by voices between two of the
synthesiser's own, or a little beyond one, so that each sounds like nobody else; of these
half have numbers in them, which are hardest to tell apart.  A sixth are said by older
synthesisers, which sound like nobody else either.
"""

import argparse
import json
import sys
import zlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache, cached_property
from pathlib import Path
from random import Random

from bench.speak import KOKORO
from bench.synth import CLIPS, Take, run
from bench.utterances import Utterance, load
from bench.voices import CACHE, VOICES, Voice
from voicelog.grammar import Grammar
from voicelog.grammar import load as load_grammar

LESSONS = CACHE / "lessons.jsonl"
"""What was rendered: the plan moves with the grammar and the sheets, clips do not."""
COUNT = 6000
KEPT_BACK = 4
FROM_GRAMMAR = 0.33
SWAPPED = 0.6
"""How often a word is swapped for another of its kind."""
CLASSES = ("nonzero", "teen", "tens")
SLOWEST, FASTEST = 0.8, 1.25
ACCENTS = {
    "en-us": "us",
    "en-gb": "gb",
    "en-gb-x-rp": "gb",
    "en-gb-x-gbclan": "gb",
    "en-gb-x-gbcwmd": "gb",
    "en-029": "caribbean",
}
TIMBRES = ("", *(f"+f{n}" for n in range(1, 6)), *(f"+m{n}" for n in range(1, 9)), "+klatt")


@cache
def _untaught() -> frozenset[str]:
    return frozenset(said.text for said in load() if said.split == "dev" and not said.teaches)


def kept_back(text: str) -> bool:
    """Tell whether a development sentence is for looking at the result only.

    Every fifth is, and all of a sheet that says so.
    """
    return zlib.crc32(text.encode()) % 5 == KEPT_BACK or text in _untaught()


def teaches(said: Utterance) -> bool:
    """Tell whether a sentence may teach the model."""
    return said.teaches and not kept_back(said.text)


def barred(every: list[Utterance]) -> set[str]:
    """Return, in lower case, the sentences that may not."""
    known = {said.text.lower() for said in every if teaches(said)}
    return {said.text.lower() for said in every} - known


def speakers() -> list[Voice]:
    """Return every voice of the natural synthesiser but those held back."""
    held = {voice.speaker for voice in VOICES if voice.held_out}
    names = sorted(path.stem for path in (KOKORO / "voices").glob("*.bin"))
    free = [name for name in names if name not in held]
    accents = {"a": "us", "b": "gb"}
    return [Voice("kokoro", n, natural=True, accent=accents.get(n[0], "other")) for n in free]


def older(rng: Random, voices: list[Voice]) -> Voice:
    """Return a voice of an older synthesiser that is not held back; ``voices`` does not matter."""
    known = [voice for voice in VOICES if not (voice.natural or voice.held_out)]
    engine = rng.choice(sorted({voice.engine for voice in known}))
    if engine != "espeak":
        return rng.choice([voice for voice in known if voice.engine == engine])
    name = rng.choice(list(ACCENTS))
    return Voice(engine, name + rng.choice(TIMBRES), natural=False, accent=ACCENTS[name])


class Writer:
    """Writes sentences that nobody has written down."""

    def __init__(self, rules: Grammar, seed: int) -> None:
        self.rules = rules
        self.rng = Random(seed)
        every = load()
        self.known = [said.text for said in every if teaches(said)]
        self.barred = barred(every)

    @cached_property
    def numbers(self) -> list[list[str]]:
        """Number words by class; within a class each may stand for each."""
        return [list(self.rules.spec.numbers.classes[name]) for name in CLASSES]

    @cached_property
    def kinds(self) -> dict[str, list[str]]:
        """For a word the words of its kind: numbers of a class, one-word values of a slot."""
        values = [
            sorted({form for forms in slot.values.values() for form in forms if form.isalpha()})
            for slot in self.rules.spec.slots
        ]
        return {word: group for group in (*values, *self.numbers) for word in group}

    def sentence(self) -> str:
        """Return a sentence that is in no list, or a known one as it is."""
        while True:
            if self.rng.random() < FROM_GRAMMAR:
                text = self.rules.sample(self.rng, 2)[0]
            else:
                text = self.varied(self.rng.choice(self.known))
            if text.lower() not in self.barred:
                return text

    def counts(self, text: str) -> bool:
        """Tell whether there is a teen, or one of the tens, in the sentence."""
        words = {word.rstrip(",.").lower() for word in text.split()}
        return any(not words.isdisjoint(group) for group in self.numbers[1:])

    def varied(self, text: str) -> str:
        """Return the sentence with other numbers and other words of the same kind in it."""
        words, counting = text.split(), {w for group in self.numbers for w in group}
        for at, word in enumerate(words):
            bare = word.rstrip(",.")
            near = words[max(0, at - 1) : at] + words[at + 1 : at + 2]
            name = near[:1] == ["o"] or (bare == "one" and counting.isdisjoint(near))
            if bare in self.kinds and not name and self.rng.random() < SWAPPED:
                words[at] = self.rng.choice(self.kinds[bare]) + word[len(bare) :]
        return " ".join(words)


def between(rng: Random, voices: list[Voice]) -> Voice:
    """Return a voice somewhere between two, with the accent of the one it is nearer to."""
    return mixed(rng, voices, (0.3, 0.4, 0.5))


def around(rng: Random, voices: list[Voice]) -> Voice:
    """Return a voice between two, or a little beyond one."""
    return mixed(rng, voices, (-0.2, 0.25, 0.45))


def mixed(rng: Random, voices: list[Voice], shares: Sequence[float]) -> Voice:
    """Return a voice so far on the way from one to another; a share below 0 leads away."""
    near, far = rng.sample(voices, 2)
    return replace(near, speaker=f"{near.speaker}+{far.speaker}*{rng.choice(shares)}")


def plan(seed: int = 11) -> list[Take]:
    """Return the lessons, so many of each kind of voice: what is said, by whom and how fast."""
    numbers = takes(seed + 2, around, Writer.counts)
    plain = takes(seed, Random.choice) + takes(seed + 1, between) + numbers
    return plain + takes(seed + 3, older, Writer.counts)


def takes(
    seed: int,
    pick: Callable[[Random, list[Voice]], Voice],
    wanted: Callable[[Writer, str], bool] = lambda writer, text: True,
) -> list[Take]:
    """Return so many wanted sentences, each with a voice and a speed."""
    writer, voices = Writer(load_grammar("en"), seed), speakers()
    rng = writer.rng
    found: list[Take] = []
    while len(found) < COUNT:
        text = writer.sentence()
        if not wanted(writer, text):
            continue
        said = Utterance(text, "everyday", "entry", "dev", {})
        found.append(Take(said, pick(rng, voices), round(rng.uniform(SLOWEST, FASTEST), 2)))
    return found


def rendered() -> list[tuple[str, Path]]:
    """Return the text and the clip of each lesson that was rendered, under whatever plan."""
    never = barred(load())
    lines = [json.loads(line) for line in LESSONS.read_text("utf-8").splitlines()]
    found = {line["file"]: line["text"] for line in lines if line["text"].lower() not in never}
    return [(text, CLIPS / file) for file, text in found.items() if (CLIPS / file).exists()]


def main() -> None:
    """Render lessons; those that exist are kept."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--skip", type=int, default=0, help="leave out the first N")
    parser.add_argument("--count", type=int, default=4 * COUNT, help="stop after the Nth")
    parser.add_argument("--jobs", type=int, default=1)
    given = parser.parse_args()
    CLIPS.mkdir(parents=True, exist_ok=True)
    chosen = plan()[given.skip : given.count]
    with LESSONS.open("a", encoding="utf-8") as known:
        for n, (take, _) in enumerate(run(chosen, given.jobs), 1):
            known.write(json.dumps({"file": take.file, "text": take.utterance.text}) + "\n")
            print(f"\r{n}/{len(chosen)}", end="", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
