"""Which part of the grammar to listen for."""

from voicelog.dialogue import questions
from voicelog.dialogue.actions import Live, SetLive
from voicelog.dialogue.turn import Turn


def follow(turn: Turn) -> None:
    """Say what to listen for, when it is no longer what was said last."""
    live, expected = _wanted(turn)
    if (live, expected) != (turn.state.live, turn.state.expected):
        turn.set(live=live, expected=expected)
        turn.do(SetLive(live, expected))


def announce(turn: Turn) -> None:
    """Say what to listen for, whatever was said before."""
    live, expected = _wanted(turn)
    turn.set(live=live, expected=expected)
    turn.do(SetLive(live, expected))


def _wanted(turn: Turn) -> tuple[Live, frozenset[str]]:
    state = turn.state
    if state.asking is not None:
        return "asking", questions.expected(state.asking)
    if state.suction is not None or state.awake is not None:
        return "open", frozenset()
    return "idle", frozenset()


def doze(turn: Turn) -> None:
    """Stop listening once the wake phrase was not followed by anything."""
    if turn.state.awake is not None and turn.at >= turn.state.awake:
        turn.set(awake=None)
