"""What happens because time went by."""

from voicelog.dialogue import acting, answering, finishing, live, outbox, passes
from voicelog.dialogue.turn import Turn


def tick(turn: Turn) -> None:
    """Let every clock act: tones first, since they cannot be late."""
    passes.tick(turn)
    outbox.mention_slow(turn)
    outbox.tick(turn)
    acting.perform(turn, answering.tick(turn))
    if finishing.is_left(turn):
        acting.perform(turn, answering.flush(turn))
        finishing.close(turn, "incomplete")
    finishing.nudge(turn)
    live.doze(turn)
