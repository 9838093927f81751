"""What a reason says, and the registry of reasons."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from voicelog.baseline.view import View

# "call": guidance says to call; "look": look again soon; "note": good to know.
Level = Literal["call", "look", "note"]
LEVELS: tuple[Level, ...] = ("call", "look", "note")

Value = int | float | str


@dataclass(frozen=True)
class Finding:
    """One thing noticed; its words are in ``grammars/<language>/_reasons.yaml``.

    Args:
        name: key of its words.
        level: how soon it matters.
        numbers: what the words are filled with.

    """

    name: str
    level: Level
    numbers: Mapping[str, Value] = field(default_factory=dict)


Reason = Callable[[View], Finding | None]
REGISTRY: dict[str, Reason] = {}


def reason(name: str) -> Callable[[Reason], Reason]:
    """Register a function of a view as the reason ``name``."""

    def add(look: Reason) -> Reason:
        REGISTRY[name] = look
        return look

    return add
