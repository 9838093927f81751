"""A conversation put together from the user's plan, journal and choices."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import typer

from voicelog.audio.files import SoundFileError, read
from voicelog.baseline.settings import from_plan
from voicelog.baseline.words import load_words
from voicelog.careplan import CarePlan
from voicelog.cli import common
from voicelog.cli.cautions import show_cautions_once
from voicelog.cli.show import show, show_silence
from voicelog.cli.teller import Teller
from voicelog.dialogue import Dialogue, Setting, load_manners, load_replies, resume
from voicelog.dialogue.state import Item
from voicelog.entries import Row
from voicelog.errors import VoicelogError
from voicelog.grammar import Grammar
from voicelog.journal.closed import ClosedJournal
from voicelog.journal.errors import JournalError
from voicelog.journal.store import Journal
from voicelog.limits import limits_for, unchecked
from voicelog.published import load_published
from voicelog.recognition.protocol import Recogniser, Recognition
from voicelog.runner.clock import Clock, PlayedClock, SystemClock
from voicelog.runner.companion import Companion
from voicelog.runner.conversation import Conversation
from voicelog.runner.mouth import Mouth, SilentMouth
from voicelog.runner.recording import utterances
from voicelog.runner.replay import replay, settle

RECENT = timedelta(hours=24)
FALLBACKS = {
    "pressure_high": "pressure_mmhg",
    "passes_high": "passes",
    "pass_seconds_high": "pass_seconds",
}
"""Limits that the learner takes from the published ones where the plan is silent."""


class UnsavedError(VoicelogError, OSError):
    """The journal never took some of what was said."""

    def __init__(self, items: Sequence[Item]) -> None:
        known = "; ".join(f"{_described(item)} at {item.now:%H:%M}" for item in items)
        super().__init__(f"This is not in the log: {known}. Write it down on paper.")


def _described(item: Item) -> str:
    entry = item.entry
    if entry.kind == "emergency":
        return entry.kind
    return ", ".join(f"{slot} {value}" for slot, value in entry.slots.items()) or entry.kind


def conversation(
    plan: CarePlan, journal: Journal, rules: Grammar, mouth: Mouth, clock: Clock
) -> Conversation:
    """Return a conversation that goes on where the journal left off.

    Raises:
        JournalError: it cannot be read.
    """
    now = clock.now()
    rows: list[Row] = list(journal.rows(since=now - RECENT))
    talk = _talk(plan, journal, rules, mouth, clock)
    talk.state = resume(rows, clock.at(), now)
    talk.companion = companion(plan, journal, rules.spec.language.language)
    talk.start()
    return talk


def _talk(
    plan: CarePlan, journal: Journal | ClosedJournal, rules: Grammar, mouth: Mouth, clock: Clock
) -> Conversation:
    setting = Setting(
        plan,
        limits_for(plan, load_published()),
        load_replies(rules.spec.language.language),
        load_manners(),
    )
    return Conversation(
        dialogue=Dialogue(setting),
        journal=journal,
        mouth=mouth,
        clock=clock,
        zone=plan.home.zone,
        grammar_version=rules.version,
        trouble=common.err.print,
    )


def companion(plan: CarePlan, journal: Journal, language: str) -> Companion:
    """Return what is known of the child from the whole journal."""
    limits = limits_for(plan, load_published())
    fallback = {
        name: limit.high
        for name, slot in FALLBACKS.items()
        if (limit := limits.get(slot)) is not None and limit.high is not None
    }
    return Companion(journal, from_plan(plan, fallback), load_words(language))


@contextmanager
def opened(
    plan: CarePlan, rules: Grammar, mouth: Mouth, clock: Clock, *, needed: bool = False
) -> Iterator[Conversation]:
    """Open the user's journal for a conversation, and close it after.

    Where it cannot be opened that is told, and the conversation goes on without it: an
    emergency has to be answered, and all else is answered with not being saved.

    Args:
        needed: whether to end instead.

    Raises:
        JournalError: the journal is ``needed`` and cannot be opened.
        UnsavedError: at the end not everything had been saved.
        typer.Exit: there was no journal, and nothing to save.
    """
    for line in unchecked(plan, load_published()):
        common.err.print(line)
    with ExitStack() as stack:
        try:
            path = common.settings().journal_path
            journal = stack.enter_context(Journal.open(path, child=plan.child.name))
            talk = conversation(plan, journal, rules, mouth, clock)
        except JournalError as error:
            if needed:
                raise
            common.err.print(str(error))
            talk = _talk(plan, ClosedJournal(error), rules, mouth, clock)
            talk.trouble = _all_but(str(error))  # once is enough
            talk.start()
            talk.fault("storage")
        yield talk
    if talk.unsaved:
        raise UnsavedError(talk.unsaved)
    if isinstance(talk.journal, ClosedJournal):
        raise typer.Exit(1)


def _all_but(told: str) -> Callable[[str], None]:
    def tell(why: str) -> None:
        if why != told:
            common.err.print(why)

    return tell


def system_clock(plan: CarePlan) -> SystemClock:
    """Return the clock of the child's home."""
    return SystemClock(ZoneInfo(plan.home.zone))


def typed(found: Recognition, plan: CarePlan, rules: Grammar, *, as_json: bool) -> None:
    """Take one typed sentence into the journal and print the replies to it.

    Raises:
        JournalError: it cannot be opened, and there is no emergency.
    """
    mouth = SilentMouth()
    needed = not _may_be_emergency(found)
    with opened(plan, rules, mouth, system_clock(plan), needed=needed) as talk:
        show_cautions_once(plan)
        mouth.said.clear()  # what is said on starting is no reply
        talk.hear(found)
        show(found, as_json=as_json, file="", start_ms=0)
        for kind, text in mouth.said:
            if kind == "say":
                Teller(as_json=as_json).say(text)


def _may_be_emergency(found: Recognition) -> bool:
    return any(
        meaning.get("action") == "emergency" for meaning in (found.slots, *found.alternatives)
    )


def recorded(
    files: Sequence[Path],
    plan: CarePlan,
    recogniser: Recogniser,
    rules: Grammar,
    *,
    as_json: bool,
) -> None:
    """Take recordings into the journal, one after another, and print the replies.

    Raises:
        typer.Exit: some file could not be read, the others were taken; or no file had speech.
    """
    clock = PlayedClock(system_clock(plan).now())
    teller = Teller(as_json=as_json)
    failed, spoken = False, False
    with opened(plan, rules, teller, clock) as talk:
        show_cautions_once(plan)
        for file in files:
            try:
                audio = read(file)
            except SoundFileError as error:
                common.err.print(str(error))
                failed = True
                continue
            teller.file = str(file)
            parts = list(utterances(audio))
            replay(talk, clock, parts, recogniser, teller.heard)
            spoken = spoken or bool(parts)
            if not parts:
                show_silence(as_json=as_json, file=str(file))
        settle(talk, clock)
    if failed or not spoken:
        raise typer.Exit(1)
