"""What is said once entries are stored, made from what the journal holds."""

from collections.abc import Callable, Sequence

from voicelog.dialogue.bounds import breach_sentence, limits_told
from voicelog.dialogue.record import ends, of_procedure, passes_of, slots_of, standing
from voicelog.dialogue.state import Item, ReplyKind
from voicelog.dialogue.turn import Turn
from voicelog.entries import EntryKind, Slots, SlotValue
from voicelog.limits import check

Group = Sequence[Item]
WARNED: frozenset[EntryKind] = frozenset({"values", "pass", "correct"})


def saved(turn: Turn, group: Group) -> None:
    """Say that the entries of one utterance are stored."""
    _TELLERS[group[-1].reply](turn, group)


def not_saved(turn: Turn, reason: str) -> None:
    """Say that an entry is not stored, and why."""
    turn.say_clearly(turn.says.not_saved, reason=_why(turn, reason))


def emergency_not_saved(turn: Turn, item: Item, reason: str) -> None:
    """Say that an emergency is not stored, and the time that someone has to write down."""
    time = turn.phrasing.clock(item.now)
    turn.say_clearly(turn.says.emergency_not_saved, time=time, reason=_why(turn, reason))


def _why(turn: Turn, reason: str) -> str:
    reasons = turn.setting.replies.reasons
    return reasons.get(reason) or reason or reasons["unknown"]


def warn_unsaved(turn: Turn) -> None:
    """Say what is out of range among all that waits, once: it matters even unsaved."""
    for item in turn.state.queue:
        if not item.warned and item.entry.kind in WARNED:
            warn(turn, item.entry.slots)
    turn.set(queue=tuple(item.model_copy(update={"warned": True}) for item in turn.state.queue))


def warn(turn: Turn, slots: Slots) -> None:
    """Say each value that is out of range, in full at any hour."""
    for breach in check(slots, turn.setting.limits):
        turn.speak(breach_sentence(turn.phrasing, breach), "normal")


def _merged(group: Group) -> Slots:
    slots: Slots = {}
    for item in group:
        if item.entry.kind not in ("open", "close"):
            slots |= item.entry.slots
    return slots


def _say_saved(turn: Turn, what: str) -> None:
    if turn.setting.read_back and what:
        turn.say(turn.says.saved, what=what)
    else:
        turn.say(turn.says.saved_bare)


def _opened(turn: Turn, group: Group) -> None:
    turn.say(turn.says.opened, limits=limits_told(turn.setting, turn.night))


def _values(turn: Turn, group: Group) -> None:
    slots = _merged(group)
    was: Slots = {}
    for item in group:
        was |= item.was
    _say_saved(turn, turn.phrasing.listing(slots, was))
    warn(turn, _merged([item for item in group if not item.warned]))
    if group[-1].entry.kind == "correct" and "passes" in slots:
        _compare_passes(turn, group[-1], slots["passes"])


def _compare_passes(turn: Turn, item: Item, said: SlotValue) -> None:
    """Point out that another number of passes was timed."""
    if item.procedure is None:
        return
    timed = len(passes_of(of_procedure(turn.state.log, item.procedure)))
    if timed and timed != said:
        turn.say_clearly(turn.says.passes_timed, timed=turn.phrasing.phrase("passes", timed))


def _pass(turn: Turn, group: Group) -> None:
    item = group[-1]
    number = 1
    if item.procedure is not None:
        number = len(passes_of(of_procedure(turn.state.log, item.procedure)))
    seconds = item.entry.slots.get("pass_seconds", 0)
    if turn.setting.read_back:
        turn.say(
            turn.says.pass_saved,
            number=turn.phrasing.number(number),
            seconds=turn.phrasing.phrase("pass_seconds", seconds),
        )
    else:
        turn.say(turn.says.saved_bare)
    if not item.warned:
        warn(turn, {"pass_seconds": seconds, "passes": number})


def _closed(turn: Turn, group: Group) -> None:
    what = _summed(turn, group[-1])
    unfinished = group[-1].reply == "incomplete"
    if what:
        turn.say(turn.says.incomplete if unfinished else turn.says.closed, what=what)
    else:
        turn.say(turn.says.incomplete_empty if unfinished else turn.says.closed_empty)


def _summed(turn: Turn, item: Item) -> str:
    """Return all that a procedure holds; timed passes count where none were said."""
    if item.procedure is None:
        return ""
    items = of_procedure(turn.state.log, item.procedure)
    slots = slots_of(items)
    timed = len(passes_of(items))
    if timed and "passes" not in slots:
        slots = {"passes": timed, **slots}
    return turn.phrasing.listing(slots) or turn.phrasing.list_(_beside(turn, item))


def _beside(turn: Turn, item: Item) -> list[str]:
    """Name what was logged during a procedure that holds nothing itself."""
    during = [
        other
        for other in standing(turn.state.log)
        if other.entry.kind in ("emergency", "note", "event")
        and (item.procedure or item.id) < other.id < item.id
    ]
    return list(dict.fromkeys(_thing(turn, other) for other in during))


def _undone(turn: Turn, group: Group) -> None:
    targets = {item.target for item in group}
    undone = [item for item in turn.state.log if item.id in targets]
    turn.say_clearly(turn.says.undone, what=described(turn, undone))


def described(turn: Turn, items: Group) -> str:
    """Name entries that are undone or dropped: by their values, or by what they are."""
    held = [item for item in items if item.entry.kind in ("values", "pass") and not ends(item)]
    slots = _merged(held)
    if slots:
        return turn.phrasing.listing(slots)
    return turn.phrasing.list_([_thing(turn, item) for item in items[:1]]) if items else ""


def _thing(turn: Turn, item: Item) -> str:
    phrasing = turn.phrasing
    kind = "close" if ends(item) else item.entry.kind
    name = phrasing.replies.things.get(kind, kind)
    if kind == "event":
        return phrasing.action(str(item.entry.slots.get("action", kind)))
    if kind == "correct":
        return phrasing.list_([name, phrasing.listing(item.entry.slots)])
    return name


def _event(turn: Turn, group: Group) -> None:
    _say_saved(turn, turn.phrasing.action(str(group[-1].entry.slots.get("action", ""))))


def _note(turn: Turn, group: Group) -> None:
    turn.say(turn.says.note_saved, text=group[-1].entry.text)


def _emergency(turn: Turn, group: Group) -> None:
    turn.say(turn.says.emergency_saved)


def _caregiver(turn: Turn, group: Group) -> None:
    turn.say(turn.says.caregiver, name=str(group[-1].entry.slots.get("caregiver", "")))


_TELLERS: dict[ReplyKind, Callable[[Turn, Group], None]] = {
    "opened": _opened,
    "values": _values,
    "whole": _values,
    "pass": _pass,
    "closed": _closed,
    "incomplete": _closed,
    "undone": _undone,
    "event": _event,
    "note": _note,
    "emergency": _emergency,
    "caregiver": _caregiver,
}
