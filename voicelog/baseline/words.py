"""The words of findings and figures, read from ``grammars/<language>/_reasons.yaml``."""

from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Any

from voicelog import data
from voicelog.baseline.reasons import Finding
from voicelog.baseline.settings import Settings
from voicelog.errors import VoicelogError
from voicelog.plainyaml import read_yaml
from voicelog.published import load_published


class NoReasonWordsError(VoicelogError, FileNotFoundError):
    """A language without a file of reasons."""

    def __init__(self, language: str) -> None:
        super().__init__(f"There are no words for '{language}' yet: use English, 'en'.")


class Words:
    """One language's words; texts are filled with ``str.format``."""

    def __init__(self, raw: Mapping[str, Any], sources: Mapping[str, str]) -> None:
        self.raw = raw
        self._sources = sources

    def text(self, *path: str, **numbers: object) -> str:
        """Return the text at ``path``, filled in.

        Raises:
            KeyError: no such text, or a number it needs was not given.

        """
        node: Any = self.raw
        for name in path:
            node = node[name]
        return str(node).format(**numbers)

    def short(self, finding: Finding) -> str:
        """Return the few words for "how is today?"."""
        return self.text("reasons", finding.name, "short", **self._filled(finding))

    def full(self, finding: Finding, settings: Settings, tags: frozenset[str] = frozenset()) -> str:
        """Return what was seen, what guidance says and its source, and whom to call."""
        entry = self.raw["reasons"][finding.name]
        parts = [self.text("reasons", finding.name, "say", **self._filled(finding))]
        if "ask" in entry:
            parts.append(entry["ask"])
        source = self._sources[entry["source"]]
        parts.append(
            self.text(
                "frame",
                "guidance",
                source=source[:1].upper() + source[1:],
                guidance=entry["guidance"],
            )
        )
        if tags:
            parts.append(self.text("frame", "tagged", tags=", ".join(sorted(tags))))
        parts.append(self.contact(settings))
        return " ".join(parts)

    def contact(self, settings: Settings) -> str:
        """Return the sentence that every finding ends with."""
        if settings.contact:
            return self.text("frame", "contact", contact=settings.contact)
        return self.text("frame", "no_contact")

    def date(self, day: date) -> str:
        """Return a date as it is said."""
        months = self.raw["months"]
        return str(self.raw["frame"]["date"]).format(day=day.day, month=months[day.month - 1])

    def _filled(self, finding: Finding) -> dict[str, object]:
        numbers: dict[str, object] = dict(finding.numbers)
        if "whose" in numbers:
            numbers["whose"] = self.raw["whose"][str(numbers["whose"])]
        return numbers


@cache
def load_words(language: str = "en") -> Words:
    """Read a language's words.

    Raises:
        NoReasonWordsError: the language has no file of reasons.

    """
    path = data.folder("grammars") / language / "_reasons.yaml"
    if not path.is_file():
        raise NoReasonWordsError(language)
    raw = read_yaml(path)
    names = {key: source.name for key, source in load_published().sources.items()}
    names["practice"] = "common practice, no source"
    return Words(raw, names)
