"""YAML in which "no", "on" and "off" are words, as people who write tables expect."""

import re
from pathlib import Path
from typing import Any

import yaml

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
