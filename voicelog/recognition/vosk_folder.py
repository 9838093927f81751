"""The folder of a Vosk model, checked before the library sees it.

The library ends the program where a folder is missing, downloads what it is not
given, and ignores a phrase list where the model cannot take one; so nothing is
left to it.
"""

import subprocess
import sys
from importlib import metadata, util
from pathlib import Path

from voicelog.errors import VoicelogError

ACOUSTIC = ("am/final.mdl", "final.mdl")
STATIC = ("graph/HCLG.fst", "HCLG.fst")
PACKAGED = ("ko",)
"""Languages whose model comes as a package."""
GRAMMAR = ("graph/Gr.fst", "Gr.fst")
TRIAL = """
import sys, vosk
vosk.SetLogLevel(-1)
listener = vosk.KaldiRecognizer(vosk.Model(sys.argv[1]), 16000)
listener.AcceptWaveform(bytes(16000))
listener.FinalResult()
"""
"""The library crashes on a damaged graph, so a strange folder is tried in a process of its own."""
TRIAL_SECONDS = 120
SETTINGS = {"model.conf": ("--lattice-beam", 8.0), "mfcc.conf": ("--dither", 0.0)}
"""How far behind the best, in log-likelihood, a text may lie; the noise added to the sound."""


class VoskModelMissingError(VoicelogError, FileNotFoundError):
    """There is no Vosk model to use."""

    def __init__(self, language: str, folder: Path | None) -> None:
        where = f"{folder} holds no" if folder else f"There is no '{language}'"
        install = f"run 'pip install vosk-model-{language}', or " if language in PACKAGED else ""
        super().__init__(
            f"{where} Vosk model: {install}unpack a small Vosk model and name its folder in "
            "VOICELOG_MODEL."
        )


class VoskModelDamagedError(VoicelogError, ValueError):
    """The model's files cannot be read."""

    def __init__(self, folder: Path) -> None:
        super().__init__(f"The Vosk model in {folder} is damaged: unpack it again.")


class VoskStaticGraphError(VoicelogError, ValueError):
    """The model's graph is fixed: it would ignore the grammar without telling."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"The Vosk model in {folder} cannot be held to a grammar: choose a small model, "
            "one with the file Gr.fst."
        )


def model_folder(language: str, configured: Path | None = None) -> Path:
    """Return the folder of a model that takes a grammar.

    Args:
        language: two letters; its package is ``vosk-model-<language>``.
        configured: the user's own folder; nothing else is tried where there is one.

    Raises:
        VoskModelMissingError: no folder, or no model in it.
        VoskStaticGraphError: a model with a fixed graph.
        VoskModelDamagedError: files of another size than in the package, or that crash.

    """
    folder = configured or _packaged(language)
    if folder is None or not _any(folder, ACOUSTIC):
        raise VoskModelMissingError(language, configured)
    if _any(folder, STATIC) or not _any(folder, GRAMMAR):
        raise VoskStaticGraphError(folder)
    if not (_works(folder) if configured else _complete(language)):
        raise VoskModelDamagedError(folder)
    return folder


def _any(folder: Path, names: tuple[str, ...]) -> bool:
    return any((folder / name).is_file() for name in names)


def _complete(language: str) -> bool:
    try:
        files = metadata.files(f"vosk-model-{language}") or ()
    except metadata.PackageNotFoundError:  # a folder of that name on the path
        return True
    sizes = [(Path(str(file.locate())), file.size) for file in files if file.size is not None]
    return all(path.is_file() and path.stat().st_size == size for path, size in sizes)


def _works(folder: Path) -> bool:
    if util.find_spec("vosk") is None:  # told apart when the model is loaded
        return True
    command = [sys.executable, "-c", TRIAL, str(folder)]
    try:
        done = subprocess.run(  # noqa: S603 - our own interpreter and program
            command, capture_output=True, timeout=TRIAL_SECONDS, check=False
        )
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


def _packaged(language: str) -> Path | None:
    found = util.find_spec(f"vosk_model_{language}")
    places = found.submodule_search_locations if found is not None else None
    return next((Path(place) / "model" for place in places or ()), None)


def tuned(folder: Path, work: Path) -> Path:
    """Return a copy of the model in ``work``, its files linked, with settings of our own.

    Small models forget all but the nearest rivals, and then a lost digit looks like
    certainty; and all models add noise to the sound, so that nothing is heard the same
    way twice.  Where links cannot be made the model is used as it is.
    """
    try:
        for path in (*folder.iterdir(), *(folder / "conf").iterdir()):
            copy = work / path.relative_to(folder)
            if path.name == "conf":
                copy.mkdir()
            elif path.name in SETTINGS:
                name, value = SETTINGS[path.name]
                lines = path.read_text(encoding="utf-8").splitlines()
                kept = [line for line in lines if not line.startswith(name)]
                copy.write_text("\n".join([*kept, f"{name}={value}", ""]), encoding="utf-8")
            else:
                copy.symlink_to(path.resolve())
    except OSError:
        return folder
    return work
