"""Values in any order, several at once, put down in the record."""

from voicelog.dialogue import outbox, questions
from voicelog.dialogue.outbox import Links
from voicelog.dialogue.record import open_passes, open_slots
from voicelog.dialogue.state import Choice
from voicelog.dialogue.turn import Turn
from voicelog.entries import Entry, Slots, SlotValue


def add(turn: Turn, slots: Slots) -> None:
    """Log values, after asking where a count differs from the passes timed."""
    said = slots.get("passes")
    if said is not None and differs(turn, said):
        ask_passes(turn, said)
        slots = {slot: value for slot, value in slots.items() if slot != "passes"}
    write(turn, slots)


def write(turn: Turn, slots: Slots) -> None:
    """Log values as they are: in the open procedure, or as a reading on its own."""
    if not slots:
        return
    suction = turn.state.suction
    known = open_slots(turn.state)
    was = {slot: known[slot] for slot in slots if slot in known and known[slot] != slots[slot]}
    procedure = suction.id if suction else None
    outbox.add(turn, Entry(kind="values", slots=slots), "values", Links(procedure=procedure), was)


def differs(turn: Turn, said: SlotValue) -> bool:
    """Tell whether ``said`` passes are not those timed, and nobody was asked about it yet.

    A count that is known to leave some out proves nothing.
    """
    suction = turn.state.suction
    timed = len(open_passes(turn.state))
    if suction is None or not timed or suction.untimed:
        return False
    return timed not in (said, suction.settled)


def ask_passes(turn: Turn, said: SlotValue) -> None:
    """Ask which count is right; each count of timed passes is asked about once."""
    suction = turn.state.suction
    timed = len(open_passes(turn.state))
    if suction is not None:
        turn.set(suction=suction.model_copy(update={"settled": timed}))
    candidates: tuple[Slots, ...] = ({"passes": said}, {"passes": timed})
    question = Choice(why="passes", candidates=candidates, heard=turn.heard, at=turn.at)
    questions.ask(turn, question)
