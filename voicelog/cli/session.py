"""A conversation put together from the user's plan, journal and choices."""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import typer

from voicelog.audio.endpoint import Segment
from voicelog.audio.files import SoundFileError, read
from voicelog.baseline.settings import from_plan
from voicelog.baseline.words import load_words
from voicelog.careplan import CarePlan, load_plan
from voicelog.cli import common, heard
from voicelog.cli.show import show
from voicelog.dialogue import Dialogue, Setting, load_manners, load_replies, resume
from voicelog.entries import Row
from voicelog.grammar import Grammar
from voicelog.journal.store import Journal
from voicelog.limits import limits_for
from voicelog.published import load_published
from voicelog.recognition.protocol import Recogniser, Recognition
from voicelog.runner.clock import Clock, PlayedClock, SystemClock
from voicelog.runner.companion import Companion
from voicelog.runner.conversation import Conversation
from voicelog.runner.mouth import Mouth, SilentMouth, Volume


class Teller:
    """Prints what is heard and what is answered, as it happens."""

    def __init__(self, *, as_json: bool) -> None:
        self.as_json = as_json
        self.file = ""

    def heard(self, part: Segment, found: Recognition) -> None:
        """Print one utterance."""
        show(found, as_json=self.as_json, file=self.file, start_ms=part.start_ms)

    def say(self, text: str, volume: Volume = "normal", *, urgent: bool = False) -> None:
        """Print one reply."""
        if self.as_json:
            print(json.dumps({"file": self.file, "reply": text}, ensure_ascii=False))  # noqa: T201
        else:
            common.out.print(f"  > {text}")

    def tone(self, kind: str) -> None:
        """Print that a tone sounds."""
        if not self.as_json and kind in ("soft", "clear"):
            common.out.print(f"  ({kind} tone)")


RECENT = timedelta(hours=24)
FALLBACKS = {
    "pressure_high": "pressure_mmhg",
    "passes_high": "passes",
    "pass_seconds_high": "pass_seconds",
}
"""Limits that the learner takes from the published ones where the plan is silent."""


def conversation(
    plan: CarePlan, journal: Journal, rules: Grammar, mouth: Mouth, clock: Clock
) -> Conversation:
    """Return a conversation that goes on where the journal left off."""
    setting = Setting(
        plan, limits_for(plan, load_published()), load_replies(plan.home.language), load_manners()
    )
    now = clock.now()
    rows: list[Row] = list(journal.rows(since=now - RECENT))
    talk = Conversation(
        dialogue=Dialogue(setting),
        journal=journal,
        mouth=mouth,
        clock=clock,
        zone=plan.home.zone,
        grammar_version=rules.version,
        state=resume(rows, clock.at(), now),
        companion=companion(plan, journal),
    )
    talk.start()
    return talk


def companion(plan: CarePlan, journal: Journal) -> Companion:
    """Return what is known of the child from the whole journal."""
    limits = limits_for(plan, load_published())
    fallback = {
        name: limit.high
        for name, slot in FALLBACKS.items()
        if (limit := limits.get(slot)) is not None and limit.high is not None
    }
    return Companion(journal, from_plan(plan, fallback), load_words(plan.home.language))


@contextmanager
def opened(rules: Grammar, mouth: Mouth) -> Iterator[tuple[Conversation, CarePlan]]:
    """Open the user's plan and journal for a conversation, and close the journal after it."""
    chosen = common.settings()
    plan = load_plan(chosen.plan_path)
    clock = SystemClock(ZoneInfo(plan.home.zone))
    with Journal.open(chosen.journal_path, child=plan.child.name) as journal:
        yield conversation(plan, journal, rules, mouth, clock), plan


def typed(found: Recognition, rules: Grammar, *, as_json: bool) -> None:
    """Take one typed sentence into the journal and print the replies."""
    mouth = SilentMouth()
    with opened(rules, mouth) as (talk, _):
        before = len(mouth.said)
        talk.hear(found)
        replies = [text for kind, text in mouth.said[before:] if kind == "say"]
    if as_json:
        print(json.dumps({**heard.line("", 0, found), "replies": replies}, ensure_ascii=False))  # noqa: T201
        return
    common.out.print(heard.sentence(found))
    for reply in replies:
        common.out.print(f"  > {reply}")


def recorded(
    files: Sequence[Path], recogniser: Recogniser, rules: Grammar, *, as_json: bool
) -> None:
    """Take recordings into the journal, one after another, and print the replies.

    Raises:
        typer.Exit: some file could not be read; the others were taken.
    """
    from voicelog.cli.hear import utterances
    from voicelog.runner.replay import replay, settle

    chosen = common.settings()
    plan = load_plan(chosen.plan_path)
    clock = PlayedClock(SystemClock(ZoneInfo(plan.home.zone)).now())
    teller = Teller(as_json=as_json)
    failed = False
    with Journal.open(chosen.journal_path, child=plan.child.name) as journal:
        talk = conversation(plan, journal, rules, teller, clock)
        for file in files:
            try:
                audio = read(file)
            except SoundFileError as error:
                common.err.print(str(error))
                failed = True
                continue
            teller.file = str(file)
            replay(talk, clock, utterances(audio), recogniser, teller.heard)
        settle(talk, clock)
    if failed:
        raise typer.Exit(1)
