"""The published statistics of ``shared/``, once for all tests here."""

from functools import cache

import yaml

from voicelog import data


@cache
def shared(name: str) -> dict:
    return yaml.safe_load((data.folder("shared") / f"{name}.yaml").read_text(encoding="utf-8"))
