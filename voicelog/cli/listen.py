"""``voicelog listen``: the microphone, live."""

from collections.abc import Callable
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Annotated

import typer

from voicelog.audio.endpoint import Endpointer
from voicelog.audio.microphone import MicrophoneSource
from voicelog.audio.source import FileSource, Gate, Source
from voicelog.audio.speaker import LoudSpeaker, NullSpeaker, Speaker
from voicelog.audio.steady import SteadySource
from voicelog.cli import common, heard
from voicelog.cli.cautions import show_cautions_once
from voicelog.cli.choices import ENGINE
from voicelog.cli.session import opened, system_clock
from voicelog.grammar import Grammar
from voicelog.recognition.engines import EngineName
from voicelog.recognition.protocol import Recognition
from voicelog.runner.listening import Listener
from voicelog.runner.speaking import SpokenMouth
from voicelog.voice.fixed import fixed_sentences
from voicelog.voice.speech import PyttsxVoice, TextVoice, Voice


def listen(
    device: Annotated[str | None, typer.Option(help="Microphone: number or name.")] = None,
    play: Annotated[
        Path | None, typer.Option(help="Play this recording in real time instead.")
    ] = None,
    silent: Annotated[bool, typer.Option("--silent", help="Show replies, do not speak.")] = False,
    engine: Annotated[EngineName | None, ENGINE] = None,
) -> None:
    """Listen at the bedside until Ctrl-C."""
    plan = common.my_plan()
    rules = common.grammar(plan)
    lost: list[Callable[[str], None]] = []
    with ExitStack() as stack:
        source = _source(device, play, lost)
        stack.callback(source.close)
        speaker: Speaker = NullSpeaker() if silent else LoudSpeaker()
        stack.callback(speaker.close)
        if not show_cautions_once(plan, common.out):
            common.out.print(common.CAUTION)
        recogniser = common.engine(rules, engine)
        gate = Gate(source)
        voice = _voice(rules, silent=silent)
        stack.callback(voice.close)
        if isinstance(voice, PyttsxVoice):
            voice.prerender(fixed_sentences(voice.settings.language))  # so that they come at once
        mouth = SpokenMouth(
            voice,
            speaker,
            gate.deaf,
            shown=lambda text: common.out.print(f"  > {text}"),
            failed=common.err.print,
        )
        stack.callback(mouth.close)
        talk = stack.enter_context(opened(plan, rules, mouth, system_clock(plan)))
        lost += [common.err.print, lambda _: talk.fault("microphone")]
        common.out.print(f"Listening. Say “{rules.spec.language.wake[0]}”. Ctrl-C ends.")
        _run(Listener(talk, recogniser, Endpointer(), _show, rules.unfinished), gate)


def _run(listener: Listener, source: Source) -> None:
    try:
        listener.run(source)
    except KeyboardInterrupt:
        common.out.print("Stopped. What was said to be saved is saved.")
    except Exception:
        with suppress(Exception):  # nobody looks at the screen: say it, if that still works
            listener.talk.fault("inside")
        raise


def _show(found: Recognition) -> None:
    common.out.print(heard.sentence(found))


def _source(device: str | None, play: Path | None, lost: list[Callable[[str], None]]) -> Source:
    """Return what is listened to; ``lost`` are told when a microphone goes."""
    if play is not None:
        return FileSource(play, realtime=True)
    wanted = int(device) if device is not None and device.isdecimal() else device

    def tell(why: str) -> None:
        for told in lost:
            told(why)

    return SteadySource(MicrophoneSource(wanted), lambda: MicrophoneSource(wanted), tell)


def _voice(rules: Grammar, *, silent: bool) -> Voice:
    if silent:
        return TextVoice()
    chosen, language = common.settings(), rules.spec.language.language
    return PyttsxVoice(common.voice_settings(language), chosen.cache / "speech")
