"""The sentences of the bench and what must become of each.

``corpus/dev`` may be read and tuned on; ``corpus/test`` is for the last run
only.  A sentence's split follows from its words, so that no sentence is in both.
"""

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import yaml

CORPUS = Path(__file__).parent / "corpus"

Style = Literal["plain", "everyday", "ask", "outside"]
Expect = Literal["entry", "ask", "nothing"]
Split = Literal["dev", "test"]
Slots = dict[str, int | float | str]


@dataclass(frozen=True)
class Utterance:
    """One sentence.

    Args:
        text: the words, numbers spelled out.
        style: "plain" textbook wording, "everyday" loose wording, "ask"
            ambiguous or contradictory, "outside" not meant for the log.
        expect: "entry" exactly ``slots`` (or one of ``also``) is stored, "ask"
            nothing is stored without asking, "nothing" it is let pass.
        split: "dev" or "test".
        live: what the log is doing when it is said, "idle" or "open".
        teaches: the model may learn from it; the whole sheet says so.
    """

    text: str
    style: Style
    expect: Expect
    split: Split
    slots: Slots
    also: tuple[Slots, ...] = ()
    live: str = "open"
    teaches: bool = True


def split_of(text: str) -> Split:
    """The split a sentence belongs to, from a hash of its words."""
    return "test" if hashlib.sha256(text.encode()).digest()[0] % 2 else "dev"


def load(folder: Path = CORPUS) -> list[Utterance]:
    """All sentences, dev first, in the order of their files."""
    found: list[Utterance] = []
    splits: tuple[Split, ...] = ("dev", "test")
    for split in splits:
        for path in sorted((folder / split).glob("*.yaml")):
            sheet = yaml.safe_load(path.read_text("utf-8"))
            found += [
                Utterance(
                    text=item["text"],
                    style=sheet["style"],
                    expect=sheet["expect"],
                    split=split,
                    slots=item.get("slots", {}),
                    also=tuple(item.get("also", ())),
                    live=item.get("live", "open"),
                    teaches=split == "dev" and sheet.get("teaches", True),
                )
                for item in sheet["utterances"]
            ]
    return found
