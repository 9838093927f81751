"""Options that take one of a few words; any other word is told plainly."""

from collections.abc import Callable
from typing import Any, get_args

import typer

from voicelog.careplan import AgeGroup
from voicelog.grammar import Live
from voicelog.recognition.engines import EngineName


def one_of(words: Any) -> Callable[[str], str]:
    """Return the parser of an option; ``words`` is the ``Literal`` of what it takes."""
    known = get_args(words)

    def parse(given: str) -> str:
        if given not in known:
            raise typer.BadParameter(f"'{given}' is none; give one of {', '.join(known)}.")
        return given

    return parse


def _option(words: Any, text: str, *names: str) -> Any:
    shown = f"<{'|'.join(get_args(words))}>"
    return typer.Option(*names, help=text, parser=one_of(words), metavar=shown)


STATE = _option(Live, "What is listened for.")
DRY_STATE = _option(Live, "What is listened for, with --dry-run.")
ENGINE = _option(EngineName, "Recogniser.")
AGE = _option(AgeGroup, "Age group.", "--age")
