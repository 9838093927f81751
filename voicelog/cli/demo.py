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
from voicelog.cli.hear import utterances
from voicelog.cli.session import Teller, conversation
from voicelog.cli.today import table
from voicelog.dialogue import load_replies
from voicelog.dialogue.phrasing import Phrasing
from voicelog.journal.store import Journal
from voicelog.runner.clock import PlayedClock
from voicelog.runner.mouth import Mouth, Volume
from voicelog.runner.replay import replay, settle
from voicelog.voice.errors import VoiceError
from voicelog.voice.settings import VoiceSettings
from voicelog.voice.speech import FileVoice, PyttsxVoice

RECORDINGS = ("suction_round", "night_check", "late_call")
EVENING = (2026, 3, 7, 19, 40)


class VoicedTeller(Teller):
    """Prints the replies, and writes each as a sound file."""

    def __init__(self, voice: FileVoice) -> None:
        super().__init__(as_json=False)
        self.voice = voice

    def say(self, text: str, volume: Volume = "normal", *, urgent: bool = False) -> None:
        """Print and write one reply."""
        super().say(text, volume, urgent=urgent)
        self.voice.say(text)


def demo(
    fast: Annotated[bool, typer.Option("--fast", help="Do not write the spoken replies.")] = False,
    out: Annotated[Path, typer.Option(help="Folder for the spoken replies.")] = Path(
        "voicelog-demo"
    ),
) -> None:
    """Play three recordings of an invented child's evening through everything."""
    folder = data.folder("demo_audio")
    plan = load_plan(folder / "plan.toml")
    rules = common.grammar(common.known_names(plan))
    recogniser = common.engine(rules)
    zone = ZoneInfo(plan.home.zone)
    clock = PlayedClock(datetime(*EVENING, tzinfo=zone))
    common.out.print(f"{plan.child.name} is an invented child.  {common.CAUTION}\n")
    with tempfile.TemporaryDirectory() as scratch, _teller(fast=fast, out=out) as teller:
        path = Path(scratch) / "journal.sqlite"
        with Journal.open(path, child=plan.child.name) as journal:
            mouth: Mouth = teller
            talk = conversation(plan, journal, rules, mouth, clock)
            for name in RECORDINGS:
                file = folder / f"{name}.flac"
                common.out.print(f"\n{file.name}")
                replay(talk, clock, utterances(read(file)), recogniser, teller.heard)
                settle(talk, clock)
            common.out.print()
            phrasing = Phrasing(load_replies(plan.home.language))
            common.out.print(table(journal, phrasing, zone, 1, clock.now()))
            verdict = journal.verify()
            common.out.print(f"\nThe journal is whole: {verdict.rows} rows." if verdict.ok else "")


@contextmanager
def _teller(*, fast: bool, out: Path) -> Iterator[Teller]:
    if fast:
        yield Teller(as_json=False)
        return
    try:
        voice = FileVoice(PyttsxVoice(VoiceSettings()), out)
    except VoiceError as error:
        common.err.print(str(error))
        yield Teller(as_json=False)
        return
    try:
        yield VoicedTeller(voice)
    finally:
        voice.close()
        common.out.print(f"The spoken replies are in {out}/.")
