"""Where the data beside the code lives, in a checkout and in an installed wheel."""

from pathlib import Path

from voicelog.errors import VoicelogError

PACKAGE = Path(__file__).parent

_own: dict[str, Path] = {}


class DataFolderMissingError(VoicelogError, FileNotFoundError):
    """A folder that ships with the program is not there."""

    def __init__(self, name: str) -> None:
        super().__init__(f"The folder '{name}' is missing: install voicelog again.")


class OwnFolderMissingError(VoicelogError, NotADirectoryError):
    """The user named a folder of their own that is not there."""

    def __init__(self, name: str, place: Path) -> None:
        super().__init__(f"There is no folder {place} to read '{name}' from: check its name.")


def use(name: str, place: Path | None) -> None:
    """Read ``name`` from the user's own folder from now on, or again from ours for None.

    For the start of a program: what was read before stays as it was read.

    Raises:
        OwnFolderMissingError: there is no such folder.
    """
    _own.pop(name, None)
    if place is None:
        return
    if not place.is_dir():
        raise OwnFolderMissingError(name, place)
    _own[name] = place


def folder(name: str) -> Path:
    """Return the folder ``name`` ("grammars", "shared" or "demo_audio").

    Raises:
        DataFolderMissingError: the installation is incomplete.
    """
    if name in _own:
        return _own[name]
    for candidate in (PACKAGE / "_data" / name, PACKAGE.parent / name):
        if candidate.is_dir():
            return candidate
    raise DataFolderMissingError(name)
