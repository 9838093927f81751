"""``voicelog demo``: an invented child's night, heard from recordings."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from voicelog import data
from voicelog.audio.files import read
from voicelog.careplan import load_plan
from voicelog.cli import common
from voicelog.cli.cautions import show_cautions_once
from voicelog.cli.session import conversation
from voicelog.cli.teller import Teller, VoicedTeller
from voicelog.cli.today import table
from voicelog.dialogue import load_replies
from voicelog.dialogue.phrasing import Phrasing
from voicelog.journal.store import Journal
from voicelog.runner.clock import PlayedClock
from voicelog.runner.recording import utterances
from voicelog.runner.replay import replay, settle
from voicelog.voice.errors import VoiceError
from voicelog.voice.speech import FileVoice, PyttsxVoice

RECORDINGS = ("suction_round", "night_check", "late_call")
EVENING = (2026, 3, 7, 19, 40)


def demo(
    fast: Annotated[bool, typer.Option("--fast", help="Do not write the spoken replies.")] = False,
    out: Annotated[Path, typer.Option(help="Folder for the spoken replies.")] = Path(
        "voicelog-demo"
    ),
) -> None:
    """Play recordings of an invented child's evening."""
    show_cautions_once(to=common.out)
    with tempfile.TemporaryDirectory() as scratch, _teller(fast=fast, out=out) as teller:
        play_evening(Path(scratch) / "journal.sqlite", teller)
    if teller.failed:
        raise typer.Exit(1)


def play_evening(path: Path, teller: Teller) -> None:
    """Play the recordings into a new journal at ``path`` and print what came of them."""
    folder = data.folder("demo_audio")
    plan = load_plan(folder / "plan.toml")
    language, zone = plan.home.language, ZoneInfo(plan.home.zone)
    common.out.print(f"{plan.child.name} is an invented child.  {common.CAUTION}\n")
    rules = common.grammar(plan, language)
    recogniser = common.engine(rules, "moonshine")
    clock = PlayedClock(datetime(*EVENING, tzinfo=zone))
    with Journal.open(path, child=plan.child.name) as journal:
        talk = conversation(plan, journal, rules, teller, clock)
        for name in RECORDINGS:
            file = folder / f"{name}.flac"
            common.out.print(f"\n{file.name}")
            replay(talk, clock, utterances(read(file)), recogniser, teller.heard)
            settle(talk, clock)
        common.out.print()
        phrasing = Phrasing(load_replies(language))
        common.out.print(table(journal, phrasing, zone, 1, clock.now()))
        verdict = journal.verify()
        common.out.print(f"\nThe journal is whole: {verdict.rows} rows." if verdict.ok else "")


@contextmanager
def _teller(*, fast: bool, out: Path) -> Iterator[Teller]:
    if fast:
        yield Teller(as_json=False)
        return
    try:
        voice = FileVoice(PyttsxVoice(common.voice_settings("en")), out)
    except VoiceError as error:
        common.err.print(str(error))
        teller = Teller(as_json=False)
        teller.failed = True
        yield teller
        return
    try:
        yield VoicedTeller(voice)
    finally:
        voice.close()
        if voice.written:
            common.out.print(f"The spoken replies are in {out}/.")
