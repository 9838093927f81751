"""Where the data beside the code lives, in a checkout and in an installed wheel."""

from pathlib import Path

from voicelog.errors import VoicelogError

PACKAGE = Path(__file__).parent


class DataFolderMissingError(VoicelogError, FileNotFoundError):
    """A folder that ships with the program is not there."""

    def __init__(self, name: str) -> None:
        super().__init__(f"The folder '{name}' is missing: install voicelog again.")


def folder(name: str) -> Path:
    """Return the folder ``name`` ("grammars", "shared" or "demo_audio").

    Raises:
        DataFolderMissingError: the installation is incomplete.
    """
    for candidate in (PACKAGE / "_data" / name, PACKAGE.parent / name):
        if candidate.is_dir():
            return candidate
    raise DataFolderMissingError(name)
