"""An emergency: the plan and its number at once, the time kept, nothing coached."""

from voicelog.dialogue import outbox, questions, values
from voicelog.dialogue.outbox import Links
from voicelog.dialogue.turn import Turn
from voicelog.entries import Entry, Slots


def sound(turn: Turn, slots: Slots) -> None:
    """Say whom to call before anything is stored, and commit past the queue."""
    number, time = turn.setting.emergency_number, turn.phrasing.clock(turn.now)
    if number:
        text = turn.says.emergency.fill({"number": turn.phrasing.phone(number), "time": time})
    else:
        text = turn.says.emergency_no_number.fill({"time": time})
    turn.speak(text, "normal", urgent=True)
    suction = turn.state.suction
    item = outbox.add(
        turn,
        Entry(kind="emergency", slots={"action": "emergency"}),
        "emergency",
        Links(procedure=suction.id if suction else None),
    )
    outbox.send_at_once(turn, item)
    questions.silence(turn)
    turn.set(hush=turn.at + turn.setting.manners.hush)
    values.add(turn, slots)
