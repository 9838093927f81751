"""A procedure opens: step by step, or told as a whole afterwards."""

from voicelog.dialogue import outbox, questions, values
from voicelog.dialogue.actions import Tone
from voicelog.dialogue.outbox import Links
from voicelog.dialogue.record import everything, standing
from voicelog.dialogue.state import Choice, Suction
from voicelog.dialogue.turn import Turn
from voicelog.entries import Entry, Slots


def start(turn: Turn, slots: Slots) -> None:
    """Open a procedure; with results in the same words it is logged as a whole."""
    if turn.state.suction is not None:
        turn.say(turn.says.already_open, time=turn.phrasing.clock(turn.state.suction.started))
        values.add(turn, slots)
    elif turn.setting.manners.results & slots.keys():
        told(turn, slots)
    else:
        begin(turn)
        values.add(turn, slots)


def told(turn: Turn, slots: Slots) -> None:
    """Log values without an action.

    In an open procedure they join it; between procedures results make a whole
    one, and anything else is a reading on its own.
    """
    if turn.state.suction is not None or not turn.setting.manners.results & slots.keys():
        values.add(turn, slots)
    elif _is_repeat(turn, slots):
        question = Choice(why="again", candidates=(slots,), heard=turn.heard, at=turn.at)
        questions.ask(turn, question)
    else:
        whole(turn, slots)


def begin(turn: Turn) -> None:
    """Queue the ``open`` row and go on as in an open procedure."""
    item = outbox.add(turn, Entry(kind="open"), "opened")
    turn.set(suction=Suction(id=item.id, started=turn.now, spoken=turn.at), awake=None)


def whole(turn: Turn, slots: Slots) -> None:
    """Log a procedure told in one go: open, values and close, read back together."""
    if turn.state.suction is not None:
        values.add(turn, slots)
        return
    first = outbox.add(turn, Entry(kind="open"), "whole")
    for entry in (Entry(kind="values", slots=slots), Entry(kind="close")):
        outbox.add(turn, entry, "whole", Links(group=first.group, procedure=first.id))


def wake(turn: Turn) -> None:
    """Listen for values for a while: only the wake phrase was said."""
    if turn.state.suction is None:
        turn.set(awake=turn.at + turn.setting.manners.awake)
        turn.do(Tone("listening"))


def _is_repeat(turn: Turn, slots: Slots) -> bool:
    """Tell whether the very same procedure was told moments ago, as when no reply was heard."""
    for item in reversed(standing(everything(turn.state))):
        if item.reply == "whole" and item.entry.kind == "values":
            recent = turn.at - item.at < turn.setting.manners.again_within
            return recent and item.entry.slots == slots
    return False
