"""``voicelog listen``: the microphone, live."""

from contextlib import ExitStack
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from voicelog.audio.endpoint import Endpointer
from voicelog.audio.microphone import MicrophoneSource
from voicelog.audio.source import FileSource, Gate, Source
from voicelog.audio.speaker import LoudSpeaker, NullSpeaker, Speaker
from voicelog.careplan import load_plan
from voicelog.cli import common, heard
from voicelog.cli.session import conversation
from voicelog.journal.store import Journal
from voicelog.recognition.engines import EngineName
from voicelog.runner.clock import SystemClock
from voicelog.runner.listening import Listener
from voicelog.runner.speaking import SpokenMouth
from voicelog.voice.settings import VoiceSettings
from voicelog.voice.speech import PyttsxVoice, TextVoice


def listen(
    device: Annotated[str | None, typer.Option(help="Microphone: number or name.")] = None,
    play: Annotated[
        Path | None, typer.Option(help="Play this recording in real time instead.")
    ] = None,
    silent: Annotated[bool, typer.Option("--silent", help="Show replies, do not speak.")] = False,
    engine: Annotated[EngineName | None, typer.Option(help="Recogniser.")] = None,
) -> None:
    """Listen at the bedside until Ctrl-C."""
    chosen = common.settings()
    plan = load_plan(chosen.plan_path)
    rules = common.grammar(common.known_names(plan))
    with ExitStack() as stack:
        source: Source = FileSource(play, realtime=True) if play else MicrophoneSource(device)
        stack.callback(source.close)
        speaker: Speaker = NullSpeaker() if silent else LoudSpeaker()
        stack.callback(speaker.close)
        recogniser = common.engine(rules, engine)
        journal = stack.enter_context(Journal.open(chosen.journal_path, child=plan.child.name))
        gate = Gate(source)
        voice = (
            TextVoice()
            if silent
            else PyttsxVoice(VoiceSettings(language=plan.home.language), chosen.cache / "speech")
        )
        mouth = SpokenMouth(
            voice,
            speaker,
            gate.deaf,
            shown=lambda text: common.out.print(f"  > {text}"),
            failed=common.err.print,
        )
        stack.callback(mouth.close)
        clock = SystemClock(ZoneInfo(plan.home.zone))
        talk = conversation(plan, journal, rules, mouth, clock)
        common.out.print(common.CAUTION)
        common.out.print(f"Listening. Say “{rules.spec.language.wake[0]}”. Ctrl-C ends.")
        Listener(
            talk,
            recogniser,
            Endpointer(),
            heard=lambda found: common.out.print(heard.sentence(found)),
        ).run(gate)
