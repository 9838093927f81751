"""YAML in which "no", "on" and "off" are words, as people who write tables expect."""

import re
from pathlib import Path
from typing import Any

import yaml
from pydantic import ValidationError

# ten times as fast, where PyYAML was built with libyaml
_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _PlainLoader(_Loader):  # type: ignore[misc]  # the same whichever it is
    """The safe loader with YAML 1.2's booleans: only true and false."""


_PlainLoader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in pairs if tag != "tag:yaml.org,2002:bool"]
    for first, pairs in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
_PlainLoader.add_implicit_resolver(
    "tag:yaml.org,2002:bool", re.compile(r"^(?:true|True|false|False)$"), list("tTfF")
)


def read_yaml(path: Path) -> Any:
    """Return the content of ``path``.

    Raises:
        yaml.YAMLError, UnicodeDecodeError, OSError: as the reader of the file must explain.
    """
    return yaml.load(path.read_text(encoding="utf-8"), Loader=_PlainLoader)  # noqa: S506 - safe subclass


def what_is_wrong(error: yaml.YAMLError | UnicodeDecodeError | ValidationError) -> str:
    """Return in plain words why a file could not be read, or does not hold what it should."""
    if isinstance(error, UnicodeDecodeError):
        return "it is not UTF-8 text"
    if isinstance(error, ValidationError):
        return _wrong_value(error)
    mark = getattr(error, "problem_mark", None)
    problem = getattr(error, "problem", None) or " ".join(str(error).split())
    return problem if mark is None else f"look at line {mark.line + 1} or before ({problem})"


def _wrong_value(error: ValidationError) -> str:
    first = error.errors(include_url=False)[0]
    place = ".".join(str(part) for part in first["loc"])
    said = re.sub(r"^Value error, ", "", first["msg"])
    if first["type"] == "model_type":
        no_table = "is no table of names and values"
        said = "is empty" if first["input"] is None else no_table
        return f"{place or 'it'} {said}"
    return f"{place}: {said}" if place else said
