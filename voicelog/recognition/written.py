"""The written grammars of the parts, kept on disk: writing them takes longer than reading."""

import hashlib
import json
import os
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Protocol

from voicelog import grammar as grammar_package
from voicelog.grammar import Grammar


class Writer(Protocol):
    """What writes the grammar of a part."""

    def slots(self, expected: frozenset[str]) -> list[str]:
        """Return the slots that can be filled now."""
        ...

    def lark(self, part: str, expected: frozenset[str]) -> str:
        """Return the grammar of one part."""
        ...


class KeptWriter:
    """Writes like the grammar's own writer, and remembers in ``folder``.

    What is kept depends on the grammar, the names in it and the code that writes it;
    if one of them changes, all is written anew.  A folder that cannot be written costs
    only time.

    Args:
        grammar: what to write.
        folder: where to keep it.
    """

    def __init__(self, grammar: Grammar, folder: Path) -> None:
        self.writer = grammar.mask
        self.path = folder / f"masks-{_key(grammar)}.json"
        self._kept: dict[str, str] = {}
        self._new = False
        with suppress(OSError, ValueError):
            found = json.loads(self.path.read_text(encoding="utf-8"))
            if isinstance(found, dict):
                self._kept = {str(part): str(text) for part, text in found.items()}

    def slots(self, expected: frozenset[str]) -> list[str]:
        """Return the slots that can be filled now."""
        return self.writer.slots(expected)

    def lark(self, part: str, expected: frozenset[str]) -> str:
        """Return the grammar of one part."""
        key = f"{part} asked" if part in expected else part
        if key not in self._kept:
            self._kept[key] = self.writer.lark(part, expected)
            self._new = True
        return self._kept[key]

    def save(self) -> None:
        """Keep what was written since, for this user alone, in place of older grammars."""
        if not self._new:
            return
        with suppress(OSError):
            handle, part = tempfile.mkstemp(dir=self.path.parent, prefix=".masks")
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(self._kept, file)
            for old in self.path.parent.glob("masks-*.json"):
                old.unlink(missing_ok=True)
            Path(part).replace(self.path)
            self._new = False


def _key(grammar: Grammar) -> str:
    digest = hashlib.sha256(grammar.version.encode())
    digest.update("|".join(sorted(grammar.names)).encode())
    for folder in grammar_package.__path__:
        for source in sorted(Path(folder).glob("*.py")):
            digest.update(source.read_bytes())
    return digest.hexdigest()[:16]
