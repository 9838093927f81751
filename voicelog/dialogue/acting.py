"""From a meaning to the part of the machine that handles it."""

from collections.abc import Callable, Iterable

from voicelog.dialogue import (
    correcting,
    emergency,
    finishing,
    helping,
    keeping,
    opening,
    passes,
    values,
)
from voicelog.dialogue.acts import AS_SAID, LOG_AGAIN, PASS_AGAIN, Act
from voicelog.dialogue.turn import Turn
from voicelog.entries import Slots

HANDLERS: dict[str, Callable[[Turn, Slots], None]] = {
    "start_suction": opening.start,
    "pass_start": passes.start,
    "pass_end": passes.end,
    "finish": finishing.finish,
    "undo": correcting.undo,
    "correct": correcting.correct,
    "repeat": helping.repeat,
    "help": helping.explain,
    "who": keeping.who,
    "note": keeping.note,
    "emergency": emergency.sound,
    PASS_AGAIN: passes.again,
    LOG_AGAIN: opening.whole,
    AS_SAID: values.write,
}

# Slots that are no values: each is handled by its own action, named or not.
OF_ACTION = {"note": "note", "caregiver": "who"}


def perform(turn: Turn, acts: Iterable[Act]) -> None:
    """Act on each meaning in turn, with the words it came from."""
    for act in acts:
        turn.heard, turn.spoken_at = act.heard, act.spoken_at
        _perform(turn, act.slots)


def _perform(turn: Turn, slots: Slots) -> None:
    slots = {slot: value for slot, value in slots.items() if slot != "answer"}
    action = str(slots.pop("action", ""))
    words = {slot: slots.pop(slot) for slot in OF_ACTION if slot in slots}
    handler = HANDLERS.get(action)
    for slot, own in OF_ACTION.items():
        if slot in words and own == action:
            slots[slot] = words.pop(slot)
    if handler is not None:
        handler(turn, slots)
    elif action in turn.setting.manners.reports:
        helping.report(turn, action, slots)
    elif action:
        # Any other action of the grammar is something done: a new one needs no code.
        keeping.event(turn, action, slots)
    elif slots:
        opening.told(turn, slots)
    for slot, value in words.items():
        HANDLERS[OF_ACTION[slot]](turn, {slot: value})
