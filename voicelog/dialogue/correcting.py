"""Changing what was said: the journal keeps both, the record counts the last."""

from voicelog.dialogue import outbox, passes, questions, values
from voicelog.dialogue.outbox import Links
from voicelog.dialogue.record import ends, everything, holder_of, of_procedure, standing
from voicelog.dialogue.state import Item, Suction
from voicelog.dialogue.turn import Turn
from voicelog.entries import Entry, Slots


def correct(turn: Turn, slots: Slots) -> None:
    """Replace values in the row that holds them, in this procedure or since the last one began."""
    if not slots:
        turn.say(turn.says.change_what)
        return
    found: dict[int, tuple[Item, Slots]] = {}
    homeless: Slots = {}
    for slot, value in slots.items():
        holder = _holder(turn, slot)
        if holder is None:
            homeless[slot] = value
        else:
            found.setdefault(holder.id, (holder, {}))[1][slot] = value
    group = None
    for holder, new in found.values():
        item = outbox.add(
            turn,
            Entry(kind="correct", slots=new),
            "values",
            Links(group=group, procedure=holder.procedure, target=holder.id),
            {slot: holder.entry.slots[slot] for slot in new},
        )
        group = item.group
    if homeless:
        _place(turn, homeless)


def _holder(turn: Turn, slot: str) -> Item | None:
    items, suction = everything(turn.state), turn.state.suction
    if suction is not None:
        here = holder_of(of_procedure(items, suction.id), slot)
        if here is not None:
            return here
    earlier = [item.id for item in standing(items) if item.entry.kind == "open"]
    if suction is not None:
        earlier = [number for number in earlier if number != suction.id]
    last = earlier[-1] if earlier else 0
    return holder_of([item for item in items if item.id >= last], slot)


def _place(turn: Turn, slots: Slots) -> None:
    """Nothing holds these: in an open procedure they are new, otherwise there is no place."""
    if turn.state.suction is not None:
        values.add(turn, slots)
        return
    for slot in slots:
        turn.say(turn.says.nothing_to_change, name=turn.phrasing.slot(slot).name)


def undo(turn: Turn, slots: Slots) -> None:
    """Take back the last utterance that counts, all of it; then log what else was said."""
    if turn.state.running is not None:
        passes.drop(turn)
    else:
        _take_back(turn)
    values.add(turn, slots)


def _take_back(turn: Turn) -> None:
    counting = standing(everything(turn.state))
    if not counting:
        turn.say(turn.says.nothing_to_undo)
        return
    members = [item for item in counting if item.group == counting[-1].group]
    group = None
    for member in reversed(members):
        item = outbox.add(
            turn,
            Entry(kind="undo"),
            "undone",
            Links(group=group, procedure=member.procedure, target=member.id),
        )
        group = item.group
    _follow(turn, members)


def _follow(turn: Turn, undone: list[Item]) -> None:
    """Leave a procedure whose opening was undone; go back into one whose closing was."""
    suction = turn.state.suction
    opened = next((item for item in undone if item.entry.kind == "open"), None)
    closed = next((item for item in undone if ends(item)), None)
    if opened is not None:
        if suction is not None and suction.id == opened.id:
            passes.stop(turn)
            turn.set(suction=None)
            questions.drop_missing(turn)
            questions.drop_choice(turn, "passes")
    elif closed is not None and suction is None and closed.procedure is not None:
        first = next(item for item in everything(turn.state) if item.id == closed.procedure)
        turn.set(suction=Suction(id=first.id, started=first.now, spoken=turn.at))
