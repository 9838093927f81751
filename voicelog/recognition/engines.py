"""The engines by name."""

from collections.abc import Callable
from pathlib import Path
from typing import Literal

from voicelog.grammar import Grammar
from voicelog.recognition.protocol import Recogniser

EngineName = Literal["moonshine", "vosk"]


def open_engine(
    name: EngineName,
    grammar: Grammar,
    *,
    model: Path | None,
    cache: Path,
    progress: Callable[[str], None],
) -> Recogniser:
    """Return the engine ``name``, its model loaded.

    Args:
        model: a folder with the model, where it is not in its package.
        cache: where a prepared model is kept.
        progress: told one line before each long step.

    Raises:
        ModelMissingError, ModelDamagedError, ModelCacheError, ...: as the engine says.
    """
    if name == "vosk":
        from voicelog.recognition.vosk import VoskEngine

        return VoskEngine.open(grammar, model)
    from voicelog.recognition.moonshine import MoonshineEngine
    from voicelog.recognition.prepare import prepare, shipped_folder

    return MoonshineEngine(grammar, prepare(shipped_folder(model), cache, progress))
