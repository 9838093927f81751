"""What entries add up to, with undo and corrections applied."""

from collections.abc import Iterable, Sequence

from voicelog.dialogue.state import Item, State
from voicelog.entries import Slots, SlotValue


def everything(state: State) -> tuple[Item, ...]:
    """Return all items, stored or not, in order."""
    return (*state.log, *state.queue)


def standing(items: Sequence[Item]) -> tuple[Item, ...]:
    """Return the items that count: not undone, an undo itself left out.

    Read backwards, so that an undo is known before what it takes away.
    """
    gone: set[int] = set()
    kept: list[Item] = []
    for item in reversed(items):
        if item.entry.kind == "undo":
            if item.target is not None:
                gone.add(item.target)
        elif item.id not in gone:
            kept.append(item)
    return tuple(reversed(kept))


def counting(items: Sequence[Item]) -> tuple[Item, ...]:
    """Return the standing items, without corrections whose target is gone."""
    kept = standing(items)
    present = {item.id for item in kept}
    return tuple(item for item in kept if item.entry.kind != "correct" or item.target in present)


def corrected(items: Sequence[Item]) -> tuple[Item, ...]:
    """Return the items that count, each with its corrections in; no corrections by themselves."""
    changes: dict[int | None, Slots] = {}
    for item in counting(items):
        if item.entry.kind == "correct":
            changes.setdefault(item.target, {}).update(item.entry.slots)
    return tuple(
        _with_slots(item, changes[item.id]) if item.id in changes else item
        for item in counting(items)
        if item.entry.kind != "correct"
    )


def _with_slots(item: Item, slots: Slots) -> Item:
    entry = item.entry.model_copy(update={"slots": {**item.entry.slots, **slots}})
    return item.model_copy(update={"entry": entry})


def of_procedure(items: Iterable[Item], procedure: int) -> tuple[Item, ...]:
    """Return the items that belong to one procedure."""
    return tuple(item for item in items if item.procedure == procedure)


def slots_of(items: Sequence[Item]) -> Slots:
    """Return the last value of each slot; a correction counts from when it was said.

    Times of passes are not among them, nor how the procedure ended.
    """
    found: Slots = {}
    passes: set[int | None] = set()
    for item in counting(items):
        if item.entry.kind == "pass":
            passes.add(item.id)
        elif item.entry.kind in ("values", "correct"):
            own = {"ending", "pass_seconds"} if item.target in passes else {"ending"}
            found |= {slot: v for slot, v in item.entry.slots.items() if slot not in own}
    return found


def ends(item: Item) -> bool:
    """Tell whether an item ends its procedure: closed, or marked as never finished."""
    return item.entry.kind == "close" or "ending" in item.entry.slots


def passes_of(items: Sequence[Item]) -> tuple[SlotValue, ...]:
    """Return the seconds of each timed pass, in order."""
    return tuple(
        item.entry.slots["pass_seconds"]
        for item in corrected(items)
        if item.entry.kind == "pass" and "pass_seconds" in item.entry.slots
    )


def holder_of(items: Sequence[Item], slot: str) -> Item | None:
    """Return the last item that holds ``slot``, as corrected, or None."""
    for item in reversed(corrected(items)):
        if item.entry.kind in ("values", "pass") and slot in item.entry.slots:
            return item
    return None


def open_slots(state: State) -> Slots:
    """Return the values of the open procedure, stored or not; empty if none is open."""
    if state.suction is None:
        return {}
    return slots_of(of_procedure(everything(state), state.suction.id))


def open_passes(state: State) -> tuple[SlotValue, ...]:
    """Return the timed passes of the open procedure."""
    if state.suction is None:
        return ()
    return passes_of(of_procedure(everything(state), state.suction.id))


def caregiver_of(state: State, among: Sequence[Item] | None = None) -> str:
    """Return who speaks: the last caregiver entry that stands, or who spoke before.

    ``among`` narrows it to some of the items.
    """
    for item in reversed(standing(everything(state))):
        if item.entry.kind == "caregiver" and (among is None or item in among):
            return str(item.entry.slots.get("caregiver", ""))
    return state.caregiver
