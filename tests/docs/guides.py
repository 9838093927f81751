"""What a guide shows: its commands, and the names it puts between backticks."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
FENCE = re.compile(r"^```(\w*)\n(.*?)^```", re.MULTILINE | re.DOTALL)


def read(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def commands(name: str) -> list[str]:
    """Return each command of the shell blocks, comments and "&&" taken away."""
    return [
        command.strip()
        for kind, block in FENCE.findall(read(name))
        if kind in ("sh", "bash", "shell", "console")
        for line in block.splitlines()
        for command in re.split(r"\s+#\s.*$", line)[0].split("&&")
        if command.strip()
    ]


def names(text: str) -> list[str]:
    """Return what stands between backticks outside the blocks."""
    return re.findall(r"`([^`\n]+)`", FENCE.sub("", text))
