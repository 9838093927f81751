"""``voicelog check``: is everything there that the log needs?"""

from collections.abc import Iterator
from typing import Annotated

import typer

from voicelog.audio.portaudio import devices
from voicelog.cli import common, looks
from voicelog.cli.looks import Look, look


def check(
    live: Annotated[
        bool, typer.Option("--live", help="Fail without a microphone or speaker, too.")
    ] = False,
) -> None:
    """Check that everything the log needs is there."""
    missing = False
    for found in _looks(live=live):
        state = "ok" if found.ok else "missing"
        alone = "" if found.ok or found.needed else " (Only live use needs it.)"
        common.out.print(f"{state:8} {found.name:11} {found.said}{alone}")
        missing = missing or (found.needed and not found.ok)
    if missing:
        raise typer.Exit(1)


def _looks(*, live: bool) -> Iterator[Look]:
    sound = devices()
    yield look("microphone", lambda: looks.microphone(sound), needed=live)
    yield look("speaker", lambda: looks.speaker(sound), needed=live)
    yield look("voice", looks.voice)
    yield look("model", looks.model)
    yield look("grammar", looks.grammar)
    yield look("plan", looks.plan)
    yield look("journal", looks.journal)
    yield look("disk", looks.disk)
    yield look("rights", looks.rights)
    yield look("versions", looks.versions)
