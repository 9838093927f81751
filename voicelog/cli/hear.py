"""``voicelog hear``: recordings instead of the microphone."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import numpy as np
import typer

from voicelog.audio.endpoint import Segment, segments
from voicelog.audio.files import SoundFileError, read
from voicelog.cli import common
from voicelog.cli.show import show
from voicelog.grammar import Live
from voicelog.recognition.engines import EngineName
from voicelog.recognition.protocol import RATE, Audio, Recogniser, Recognition

SHORT_SECONDS = 20
QUIET = 1e-4
"""Root mean square below which a recording holds no sound worth decoding."""


def hear(
    files: Annotated[list[Path], typer.Argument(help="WAV or FLAC recordings.")],
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON object for each utterance.")
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what was understood; store nothing.")
    ] = False,
    state: Annotated[Live, typer.Option(help="What is listened for.")] = "open",
    engine: Annotated[EngineName | None, typer.Option(help="Recogniser.")] = None,
) -> None:
    """Take recordings, as if they were spoken now."""
    rules = common.grammar(common.known_names(common.plan_if_any()))
    recogniser = common.engine(rules, engine)
    if not dry_run:
        from voicelog.cli.session import recorded

        recorded(files, recogniser, rules, as_json=as_json)
        return
    failed = False
    for file in files:
        try:
            found = list(utterances(read(file)))
        except SoundFileError as error:
            common.err.print(str(error))
            failed = True
            continue
        for part in found:
            heard = decoded(part, recogniser, state)
            show(heard, as_json=as_json, file=str(file), start_ms=part.start_ms)
        if not found:
            nothing = Recognition(outcome="not_understood")
            show(nothing, as_json=as_json, file=str(file), start_ms=0)
    if failed:
        raise typer.Exit(1)


def decoded(part: Segment, recogniser: Recogniser, state: Live) -> Recognition:
    """Return what an utterance says; one that was cut may lack words and is never an entry."""
    if part.cut:
        return Recognition(outcome="not_understood")
    return recogniser.decode(part.audio, state)


def utterances(audio: Audio) -> Iterator[Segment]:
    """Yield the utterances of a recording.

    Whispered speech may not count as a voice; a short recording with sound but
    no voice is taken as one utterance, and the recogniser decides.
    """
    found = segments(audio)
    if not found and len(audio) <= SHORT_SECONDS * RATE and _loudness(audio) > QUIET:
        found = [Segment(0, round(1000 * len(audio) / RATE), audio)]
    yield from found


def _loudness(audio: Audio) -> float:
    return float(np.sqrt(np.mean(np.square(audio)))) if len(audio) else 0.0
