"""The rest of what is logged: changes of equipment, notes, and who is speaking."""

from voicelog.dialogue import outbox, questions, values
from voicelog.dialogue.outbox import Links
from voicelog.dialogue.record import caregiver_of
from voicelog.dialogue.state import NoteText, Who
from voicelog.dialogue.turn import Turn
from voicelog.entries import Entry, Slots


def event(turn: Turn, action: str, slots: Slots) -> None:
    """Log something done, such as a tube change; values said with it stand beside it."""
    outbox.add(turn, Entry(kind="event", slots={"action": action}), "event")
    questions.drop_reminder(turn)
    values.add(turn, slots)


def note(turn: Turn, slots: Slots) -> None:
    """Log free text, or ask for it."""
    rest = dict(slots)
    text = str(rest.pop("note", "")).strip()
    if text:
        suction = turn.state.suction
        entry = Entry(kind="note", text=text)
        outbox.add(turn, entry, "note", Links(procedure=suction.id if suction else None))
    else:
        questions.ask(turn, NoteText())
    values.add(turn, rest)


def who(turn: Turn, slots: Slots) -> None:
    """Log who speaks from now on; a name that is not in the plan is asked about."""
    rest = dict(slots)
    said = str(rest.pop("caregiver", ""))
    name = turn.setting.caregiver(said)
    if name is not None:
        outbox.add(turn, Entry(kind="caregiver", slots={"caregiver": name}), "caregiver")
    elif turn.setting.caregivers:
        speaking = caregiver_of(turn.state)
        if speaking and not said:
            turn.say(turn.says.who_now, name=speaking)
        questions.ask(turn, Who(unknown=bool(said)))
    else:
        turn.say(turn.says.who_none)
    values.add(turn, rest)
