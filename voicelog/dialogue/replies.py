"""Everything spoken, as data: one ``_replies.yaml`` a language."""

from pathlib import Path
from typing import Annotated, Self

import yaml
from pydantic import Field, ValidationError, model_validator

from voicelog import data
from voicelog.dialogue.numerals import Numerals
from voicelog.dialogue.says import Says
from voicelog.dialogue.template import Template, with_
from voicelog.entries import Frozen
from voicelog.errors import VoicelogError
from voicelog.plainyaml import read_yaml, what_is_wrong


class RepliesMissingError(VoicelogError, FileNotFoundError):
    """There are no replies in the language asked for."""

    def __init__(self, language: str) -> None:
        super().__init__(f"There are no replies in the language '{language}': choose another.")


class RepliesFileMissingError(VoicelogError, FileNotFoundError):
    """The folder of a language lacks its file of replies."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            f"The file {path.name} is missing from {path.parent}: put it back or install again."
        )


class RepliesBrokenError(VoicelogError, ValueError):
    """The file of replies is not valid."""

    def __init__(self, language: str, why: str) -> None:
        super().__init__(
            f"The replies in '{language}' are broken: {why}. Mend the file _replies.yaml or "
            "install again."
        )


class Parts(Frozen):
    """Pieces that sentences are made of."""

    comma: Annotated[Template, with_("first", "rest")]
    either: Annotated[Template, with_("first", "rest")]
    end: str
    changed: Annotated[Template, with_("new", "old")]
    between: Annotated[Template, with_("low", "high")]
    under: Annotated[Template, with_("high")]
    at_most: Annotated[Template, with_("high")]
    over: Annotated[Template, with_("low")]
    at_least: Annotated[Template, with_("low")]
    limit_of: Annotated[Template, with_("limit", "whose")]
    clock: str
    minutes: Annotated[Template, with_("value")]
    minute: Annotated[Template, with_("value")]


class SlotWords(Frozen):
    """How one slot is spoken.

    Args:
        name: what it is called in a question or a warning.
        says: its read-back, with ``{value}``, ``{unit}`` and ``{name}``.
        unit: plural category to unit; ``other`` is the fallback.
        values: a value whose read-back is another phrase altogether.
        words: a value's own words, where they are not the stored value.
        limit: how its range is told, with ``{range}``, ``{high}``, ``{unit}``.
        numbers: the style of its numbers.
        ask: the question when it is missing.
        verb: the verb of a warning.

    """

    name: str
    says: Annotated[Template, with_("value", "unit", "name")] | None = None
    unit: dict[str, str] = Field(default_factory=dict)
    values: dict[str, str] = Field(default_factory=dict)
    words: dict[str, str] = Field(default_factory=dict)
    limit: Annotated[Template, with_("range", "high", "unit", "name")] | None = None
    numbers: str = "plain"
    ask: str | None = None
    verb: str | None = None


class Replies(Frozen):
    """All spoken words of one language.

    Args:
        plural: category to the numbers that take it; all others are ``other``.
        order: slots in the order they are read back; others follow as said.
        slot, slot_limit: read-back and range of a slot that has no words of its own.
        verb: the verb of a warning.
        actions: names of actions; ``things`` names of kinds of entry.
        reasons, faults, reminders: sentence for each key.
        sources: short spoken names of the sources of published limits.

    """

    language: str
    numerals: Numerals
    plural: dict[str, tuple[int, ...]]
    order: tuple[str, ...]
    slot: Annotated[Template, with_("value", "name")]
    slot_limit: Annotated[Template, with_("range", "name")]
    verb: str
    slots: dict[str, SlotWords]
    actions: dict[str, str]
    things: dict[str, str]
    reasons: dict[str, str]
    faults: dict[str, str]
    reminders: dict[str, str]
    sources: dict[str, str]
    parts: Parts
    says: Says

    @model_validator(mode="after")
    def _styles_exist(self) -> Self:
        for name, slot in self.slots.items():
            if slot.numbers not in self.numerals.styles:
                raise ValueError(f"slots.{name}: there are no numbers '{slot.numbers}'")
        if "unknown" not in self.reasons:
            raise ValueError("reasons: there is none called 'unknown'")
        if "plain" not in self.numerals.styles:
            raise ValueError("numerals.styles: there are no numbers 'plain'")
        return self


def check_replies(content: object, language: str) -> Replies:
    """Check what a ``_replies.yaml`` holds.

    Raises:
        RepliesBrokenError: a reply is missing, or uses an unknown name.

    """
    try:
        return Replies.model_validate(content)
    except ValidationError as error:
        raise RepliesBrokenError(language, what_is_wrong(error)) from error


def load_replies(language: str, root: Path | None = None) -> Replies:
    """Read ``grammars/<language>/_replies.yaml``; the one place here that reads a file.

    Raises:
        RepliesMissingError: no such language.
        RepliesFileMissingError: its folder is there, and the file is not.
        RepliesBrokenError: the file is not valid, with the first reason.

    """
    path = (root or data.folder("grammars")) / language / "_replies.yaml"
    try:
        return check_replies(read_yaml(path), language)
    except FileNotFoundError as error:
        if path.parent.is_dir():
            raise RepliesFileMissingError(path) from error
        raise RepliesMissingError(language) from error
    except (yaml.YAMLError, UnicodeDecodeError) as error:
        raise RepliesBrokenError(language, what_is_wrong(error)) from error
