"""Text with holes, as it is written in the file of replies."""

from collections.abc import Mapping
from string import Formatter
from typing import Any

from pydantic import AfterValidator, model_validator

from voicelog.entries import Frozen


class Template(Frozen):
    """Text with ``{names}``; ``night`` is the shorter way to say it while others sleep."""

    say: str
    night: str | None = None

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        return {"say": value} if isinstance(value, str) else value

    def fill(self, fields: Mapping[str, str], night: bool = False) -> str:
        """Return the sentence, its first letter made large."""
        text = self.night if night and self.night is not None else self.say
        return sentence(text.format(**fields))


def sentence(text: str) -> str:
    """Make the first letter large; languages without large letters are left alone."""
    return text[:1].upper() + text[1:]


def _names(template: Template) -> set[str]:
    texts = [template.say, template.night or ""]
    return {name for text in texts for _, name, _, _ in Formatter().parse(text) if name is not None}


def with_(*names: str) -> AfterValidator:
    """Make the type of a reply that may use only these names."""

    def check(template: Template) -> Template:
        unknown = sorted(_names(template) - set(names))
        if unknown:
            raise ValueError(f"'{{{unknown[0]}}}' is not known here")
        return template

    return AfterValidator(check)
