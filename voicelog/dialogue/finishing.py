"""A procedure ends: what is missing is asked for, then it is summed up and closed."""

from voicelog.dialogue import opening, outbox, passes, questions, values
from voicelog.dialogue.outbox import Links
from voicelog.dialogue.record import open_passes, open_slots
from voicelog.dialogue.state import Missing, ReplyKind, Suction
from voicelog.dialogue.turn import Turn
from voicelog.entries import Entry, Slots


def finish(turn: Turn, slots: Slots) -> None:
    """Begin to close; said twice, it closes without more questions."""
    if turn.state.suction is None:
        if slots:
            opening.told(turn, slots)
        else:
            turn.say(turn.says.nothing_open)
        return
    values.add(turn, slots)
    if turn.state.running is not None:
        passes.forget(turn)
    questions.drop_missing(turn)
    _plan_questions(turn)


def _plan_questions(turn: Turn) -> None:
    suction = turn.state.suction
    if suction is not None:
        asks = turn.setting.ask_missing and not questions.hushed(turn)
        missing = turn.setting.manners.required if asks and suction.missing is None else ()
        turn.set(suction=suction.model_copy(update={"missing": missing}))


def advance(turn: Turn) -> None:
    """Put the next question, or close when there is none left."""
    suction = turn.state.suction
    if suction is None or suction.missing is None or turn.state.asking or turn.state.waiting:
        return
    said = open_slots(turn.state).get("passes")
    if said is not None and values.differs(turn, said):
        values.ask_passes(turn, said)
        return
    for place, slot in enumerate(suction.missing):
        if not _known(turn, suction, slot):
            rest = suction.missing[place + 1 :]
            turn.set(suction=suction.model_copy(update={"missing": rest}))
            questions.ask(turn, Missing(slot=slot))
            return
    close(turn, "closed")


def _known(turn: Turn, suction: Suction, slot: str) -> bool:
    counted = slot == "passes" and bool(open_passes(turn.state)) and not suction.untimed
    return counted or slot in open_slots(turn.state)


def close(turn: Turn, reply: ReplyKind) -> None:
    """End the procedure with a ``close`` row; one never finished gets a mark instead."""
    suction = turn.state.suction
    if suction is None:
        return
    if reply == "incomplete":
        entry = Entry(kind="values", slots={"ending": "incomplete"})
    else:
        entry = Entry(kind="close")
    outbox.add(turn, entry, reply, Links(procedure=suction.id))
    passes.stop(turn)
    turn.set(suction=None)
    questions.drop_missing(turn)


def is_left(turn: Turn) -> bool:
    """Tell whether the open procedure was left: nobody spoke in it for long."""
    suction = turn.state.suction
    return suction is not None and _silence(turn, suction) >= turn.setting.manners.left_open_close


def nudge(turn: Turn) -> None:
    """Ask once whether a silent procedure goes on."""
    suction = turn.state.suction
    if suction is None or suction.asked or questions.hushed(turn):
        return
    if _silence(turn, suction) >= turn.setting.manners.left_open_ask:
        turn.set(suction=suction.model_copy(update={"asked": True}))
        turn.say(turn.says.still_there)


def touch(turn: Turn) -> None:
    """Note that somebody spoke in the open procedure."""
    suction = turn.state.suction
    if suction is not None:
        changes = {"spoken": turn.at, "asked": False}
        turn.set(suction=suction.model_copy(update=changes))


def _silence(turn: Turn, suction: Suction) -> float:
    return turn.at - suction.spoken
