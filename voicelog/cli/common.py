"""What the commands share: settings, the grammar, the engine, plain messages."""

import sys
from collections.abc import Iterable
from functools import cache

from rich.console import Console

from voicelog.careplan import CarePlan, load_plan
from voicelog.grammar import Grammar, load
from voicelog.recognition.engines import EngineName, open_engine
from voicelog.recognition.protocol import Recogniser
from voicelog.settings import Settings

CAUTION = (
    "voicelog keeps a record. It is not a medical device. "
    "Follow your care team and local rules first."
)

out = Console(highlight=False, soft_wrap=True)
err = Console(stderr=True, highlight=False, soft_wrap=True)


@cache
def settings() -> Settings:
    """Return the user's choices, read once."""
    return Settings()


def progress(line: str) -> None:
    """Tell about a long step, out of the way of the output."""
    sys.stderr.write(line + "\n")
    sys.stderr.flush()


def known_names(plan: CarePlan | None) -> list[str]:
    """Return what the caregivers call themselves."""
    return [form for person in plan.caregivers for form in person.said] if plan else []


def plan_if_any() -> CarePlan | None:
    """Return the care plan, or None while there is no file."""
    path = settings().plan_path
    return load_plan(path) if path.exists() else None


def grammar(names: Iterable[str] = ()) -> Grammar:
    """Return the grammar of the user's language."""
    return load(settings().language, names=names)


def engine(rules: Grammar, name: EngineName | None = None) -> Recogniser:
    """Return the recogniser, its model ready."""
    chosen = settings()
    return open_engine(
        name or chosen.engine, rules, model=chosen.model, cache=chosen.cache, progress=progress
    )
