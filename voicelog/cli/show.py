"""Printing one utterance."""

import json

from voicelog.cli import common, heard
from voicelog.recognition.protocol import Recognition


def show(found: Recognition, *, as_json: bool, file: str, start_ms: int) -> None:
    """Print what one utterance was understood to be."""
    if as_json:
        print(json.dumps(heard.line(file, start_ms, found), ensure_ascii=False), flush=True)  # noqa: T201
        return
    common.out.print(heard.sentence(found))
