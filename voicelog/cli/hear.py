"""``voicelog hear``: recordings instead of the microphone."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from voicelog.audio.files import SoundFileError, read
from voicelog.cli import common
from voicelog.cli.choices import DRY_STATE, ENGINE
from voicelog.cli.show import show, show_silence
from voicelog.grammar import Live
from voicelog.recognition.engines import EngineName
from voicelog.recognition.protocol import Recogniser
from voicelog.runner.recording import decoded, utterances


def hear(
    files: Annotated[list[Path], typer.Argument(help="WAV or FLAC recordings.")],
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON object for each utterance.")
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what was understood; store nothing.")
    ] = False,
    state: Annotated[Live, DRY_STATE] = "open",
    engine: Annotated[EngineName | None, ENGINE] = None,
) -> None:
    """Take recordings, as if they were spoken now."""
    plan = common.plan_if_any() if dry_run else common.my_plan()
    rules = common.grammar(plan)
    recogniser = common.engine(rules, engine)
    if plan is not None and not dry_run:
        from voicelog.cli.session import recorded

        recorded(files, plan, recogniser, rules, as_json=as_json)
        return
    if not shown(files, recogniser, state, as_json=as_json):
        raise typer.Exit(1)


def shown(files: Sequence[Path], recogniser: Recogniser, state: Live, *, as_json: bool) -> bool:
    """Print what each utterance says; a file that cannot be read is told and left out.

    Returns:
        False when there was such a file, or no file had an utterance.
    """
    whole, spoken = True, False
    for file in files:
        try:
            audio = read(file)
        except SoundFileError as error:
            common.err.print(str(error))
            whole = False
            continue
        empty = True
        for part in utterances(audio):
            empty, spoken = False, True
            found = decoded(part, recogniser, state)
            show(found, as_json=as_json, file=str(file), start_ms=part.start_ms)
        if empty:
            show_silence(as_json=as_json, file=str(file))
    return whole and spoken
