"""How the conversation behaves: what it asks for and how long it waits."""

from pathlib import Path

import yaml
from pydantic import Field, PositiveFloat, PositiveInt, ValidationError

from voicelog import data
from voicelog.entries import Frozen
from voicelog.errors import VoicelogError
from voicelog.plainyaml import read_yaml, what_is_wrong


class MannersBrokenError(VoicelogError, ValueError):
    """``_dialogue.yaml`` is missing or not valid."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"The file _dialogue.yaml is broken: {why}. Mend the file or install again."
        )


class Manners(Frozen):
    """What ``grammars/_dialogue.yaml`` holds; times in seconds.

    Own judgement throughout, no source: they are habits of a listener, not
    clinical numbers, which come from the care plan and the published limits.

    Args:
        required: slots asked for once each before a procedure is closed.
        results: slots which, said between procedures, mean that suctioning was done.
        told, told_at_night: slots whose limits are said when a procedure is opened.
        reports: actions that the journal answers.

    """

    required: tuple[str, ...] = ("passes", "colour", "thickness")
    results: frozenset[str] = frozenset(
        {"passes", "colour", "thickness", "amount", "odour", "saline_drops", "saline_ml"}
    )
    told: tuple[str, ...] = ("depth_cm", "pressure_mmhg", "pass_seconds")
    told_at_night: tuple[str, ...] = ("pass_seconds",)
    reports: frozenset[str] = frozenset({"summary"})
    soft_before: PositiveFloat = 2.0
    pass_shortest: float = Field(default=1.0, ge=0)
    pass_longest: PositiveFloat = 60.0
    answer_wait: PositiveFloat = 12.0
    tries: PositiveInt = 2
    gentle_gap: float = Field(default=10.0, ge=0)
    awake: PositiveFloat = 15.0
    again_within: float = Field(default=20.0, ge=0)
    left_open_ask: PositiveFloat = 300.0
    left_open_close: PositiveFloat = 900.0
    slow_commit: PositiveFloat = 3.0
    retry_every: PositiveFloat = 30.0
    hush: float = Field(default=120.0, ge=0)
    fault_gap: float = Field(default=60.0, ge=0)
    snooze_minutes: PositiveInt = 30


def load_manners(root: Path | None = None) -> Manners:
    """Read ``grammars/_dialogue.yaml``.

    Raises:
        MannersBrokenError: missing, not YAML, or a value that cannot be.

    """
    path = (root or data.folder("grammars")) / "_dialogue.yaml"
    try:
        return Manners.model_validate(read_yaml(path))
    except OSError as error:
        raise MannersBrokenError("it cannot be read") from error
    except (yaml.YAMLError, UnicodeDecodeError, ValidationError) as error:
        raise MannersBrokenError(what_is_wrong(error)) from error
