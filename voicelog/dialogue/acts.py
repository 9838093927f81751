"""What is to be acted on: the meaning of one utterance, or what a question left of it."""

from typing import NamedTuple

from voicelog.entries import Heard, Slots

# Actions that no grammar has: what an answer to a question stands for.
PASS_AGAIN = "pass_again"  # noqa: S105 - a pass of the catheter
LOG_AGAIN = "log_again"
AS_SAID = "as_said"


class Act(NamedTuple):
    """Slots to act on, the words they came from, and when those were said."""

    slots: Slots
    heard: Heard
    spoken_at: float
