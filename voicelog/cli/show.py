"""Printing one utterance."""

import json

from voicelog.cli import common, heard
from voicelog.errors import VoicelogError
from voicelog.recognition.protocol import Recognition


class NothingSaidError(VoicelogError, ValueError):
    """A recording holds no speech."""

    def __init__(self, file: str) -> None:
        super().__init__(
            f"Nothing was said in {file}: record closer to the mouth, or check the microphone "
            "with 'voicelog check'."
        )


def show_silence(*, as_json: bool, file: str) -> None:
    """Tell that a recording holds no speech; in JSON that is one object as well."""
    if as_json:
        show(Recognition(outcome="not_understood"), as_json=True, file=file, start_ms=0)
    common.err.print(str(NothingSaidError(file)))


def show(found: Recognition, *, as_json: bool, file: str, start_ms: int) -> None:
    """Print what one utterance was understood to be."""
    if as_json:
        print(json.dumps(heard.line(file, start_ms, found), ensure_ascii=False), flush=True)  # noqa: T201
        return
    common.out.print(heard.sentence(found))
