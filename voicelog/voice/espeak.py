"""Which eSpeak library speaks on Linux; macOS and Windows have voices of their own."""

import ctypes.util
import sys
from dataclasses import dataclass
from pathlib import Path

from voicelog.voice.errors import VoiceMissingError
from voicelog.voice.settings import Library

SONAMES = ("espeak-ng", "espeak")


@dataclass(frozen=True)
class Espeak:
    """A speech library.

    Args:
        file: the one to load before the engine looks for one, None for the system's own.
        data: its folder of voices and rules, None for the one it was built with.

    """

    file: Path | None = None
    data: Path | None = None


def find(choice: Library = "auto") -> Espeak | None:
    """Return the library to speak with, None where the system does not need one.

    Raises:
        VoiceMissingError: the library asked for is not there.

    """
    if not sys.platform.startswith("linux"):
        return None
    if choice in ("auto", "system") and any(ctypes.util.find_library(name) for name in SONAMES):
        return Espeak()
    if choice == "system":
        raise VoiceMissingError("the system has no eSpeak library")
    return bundled()


def bundled() -> Espeak:
    """Return the library that the espeakng-loader package carries.

    Raises:
        VoiceMissingError: the package or its files are not there.

    """
    try:
        import espeakng_loader

        found = Espeak(
            Path(espeakng_loader.get_library_path()), Path(espeakng_loader.get_data_path())
        )
    except (ImportError, RuntimeError) as error:
        raise VoiceMissingError("the espeakng-loader package is not installed") from error
    if found.file is None or not found.file.is_file():
        raise VoiceMissingError("the espeakng-loader package has lost its library")
    return found
