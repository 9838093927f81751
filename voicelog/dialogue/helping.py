"""Saying things again, what can be said, reports, reminders, faults."""

from voicelog.dialogue import questions, values
from voicelog.dialogue.actions import Report
from voicelog.dialogue.events import Due, Fault
from voicelog.dialogue.state import Reminder
from voicelog.dialogue.turn import Turn
from voicelog.entries import Slots


def repeat(turn: Turn, slots: Slots) -> None:
    """Say the last reply again."""
    if turn.state.last_reply:
        turn.speak(turn.state.last_reply)
    else:
        turn.say(turn.says.repeat_nothing)
    values.add(turn, slots)


def explain(turn: Turn, slots: Slots) -> None:
    """Say what can be said now."""
    if turn.state.asking is not None:
        turn.say(turn.says.help_asking)
    elif turn.state.suction is not None:
        turn.say(turn.says.help_open)
    else:
        turn.say(turn.says.help_idle)
    values.add(turn, slots)


def report(turn: Turn, kind: str, slots: Slots) -> None:
    """Have the journal answer."""
    turn.do(Report(kind))
    values.add(turn, slots)


def due(turn: Turn, event: Due) -> None:
    """Keep a reminder until there is a quiet moment for it."""
    waiting = turn.state.reminders
    if all(event.reminder != other.reminder for other in waiting):
        reminder = Reminder(reminder=event.reminder, text=event.text)
        turn.set(reminders=(*waiting, reminder))


def remind(turn: Turn) -> None:
    """Put the next reminder while nothing else goes on."""
    state = turn.state
    busy = state.suction or state.asking or state.flights or questions.hushed(turn)
    if state.reminders and not busy:
        first, *rest = state.reminders
        turn.set(reminders=tuple(rest))
        questions.ask(turn, first)


def fault(turn: Turn, event: Fault) -> None:
    """Say that something broke, and what to do; not over and over."""
    last = turn.state.faults.get(event.kind)
    if last is not None and 0 <= turn.at - last < turn.setting.manners.fault_gap:
        return
    turn.set(faults={**turn.state.faults, event.kind: turn.at})
    told = turn.setting.replies.faults.get(event.kind)
    turn.speak(told or turn.says.fault.fill({}), "normal")
