"""Entries on their way to the journal: one at a time, in order, never dropped.

An entry that could not be saved stays at the head of the queue and is tried
again: with the next thing said, and quietly every now and then.
"""

from typing import NamedTuple
from uuid import UUID

from voicelog.dialogue import readback
from voicelog.dialogue.actions import Commit
from voicelog.dialogue.events import CommitFailed, Committed
from voicelog.dialogue.record import caregiver_of, everything
from voicelog.dialogue.state import Flight, Item, ReplyKind, State
from voicelog.dialogue.turn import Turn
from voicelog.entries import Entry, Slots

KEPT = 200
TOGETHER = 1.0
"""Seconds."""


class Links(NamedTuple):
    """What an entry belongs to, as ids: its utterance, its procedure, the row it is about."""

    group: int | None = None
    procedure: int | None = None
    target: int | None = None


def add(
    turn: Turn,
    entry: Entry,
    reply: ReplyKind,
    links: Links | None = None,
    was: Slots | None = None,
) -> Item:
    """Queue an entry; its procedure and target become uuids when it is sent."""
    number, links = turn.fresh(), links or Links()
    item = Item(
        id=number,
        group=number if links.group is None else links.group,
        entry=entry,
        heard=turn.heard,
        at=turn.at,
        now=turn.now,
        reply=reply,
        procedure=number if entry.kind == "open" else links.procedure,
        target=links.target,
        was=was or {},
    )
    turn.set(queue=(*turn.state.queue, item), failed=None)
    return item


def send(turn: Turn) -> None:
    """Commit the first waiting entry, unless one is under way or the last one failed."""
    if turn.state.failed is None:
        _send_next(turn, quiet=False)


def tick(turn: Turn) -> None:
    """Try an unsaved entry again, now and then, without a word if it fails again."""
    failed = turn.state.failed
    if failed is not None and turn.at - failed >= turn.setting.manners.retry_every:
        turn.set(failed=None)
        _send_next(turn, quiet=True)


def send_at_once(turn: Turn, item: Item) -> None:
    """Commit past the queue: what cannot wait and needs nothing before it."""
    flight = Flight(token=f"t{turn.fresh()}", item=item.id, sent=turn.at, ahead=True)
    _launch(turn, item, _ready(turn.state, item) or item.entry, flight)


def _send_next(turn: Turn, quiet: bool) -> None:
    state = turn.state
    if not all(flight.ahead for flight in state.flights):
        return
    flying = {flight.item for flight in state.flights}
    item = next((item for item in state.queue if item.id not in flying), None)
    entry = _ready(state, item) if item is not None else None
    if item is not None and entry is not None:
        flight = Flight(token=f"t{turn.fresh()}", item=item.id, sent=turn.at, quiet=quiet)
        _launch(turn, item, entry, flight)


def _launch(turn: Turn, item: Item, entry: Entry, flight: Flight) -> None:
    turn.set(flights=(*turn.state.flights, flight))
    said_before = tuple(old for old in everything(turn.state) if old.id <= item.id)
    who = caregiver_of(turn.state, said_before)
    turn.do(Commit(entry, item.heard, flight.token, item.now, who))


def _ready(state: State, item: Item) -> Entry | None:
    """Return the entry with its uuids, or None while one is not known yet."""
    known = {stored.id: stored.uuid for stored in state.log}
    changes: dict[str, UUID] = {}
    links = {"target": item.target}
    if item.entry.kind != "open":
        links["procedure"] = item.procedure
    for name, link in links.items():
        if link is None:
            continue
        uuid = known.get(link)
        if uuid is None:
            return None
        changes[name] = uuid
    return item.entry.model_copy(update=changes)


def _land(turn: Turn, token: str) -> tuple[Flight, Item] | None:
    """Take a commit out of the air; None if it is not there (answered before)."""
    for flight in turn.state.flights:
        if flight.token == token:
            turn.set(flights=tuple(f for f in turn.state.flights if f.token != token))
            item = next(item for item in turn.state.queue if item.id == flight.item)
            return flight, item
    return None


def committed(turn: Turn, event: Committed) -> None:
    """Take note that an entry is stored; read back once its whole utterance is."""
    landed = _land(turn, event.token)
    if landed is None:
        return
    _, item = landed
    stored = item.model_copy(update={"uuid": event.row.uuid, "entry": event.row.entry})
    queue = tuple(waiting for waiting in turn.state.queue if waiting.id != item.id)
    turn.set(log=(*turn.state.log, stored), queue=queue, failed=None)
    if all(waiting.group != item.group for waiting in queue):
        group = tuple(old for old in turn.state.log if old.group == item.group)
        readback.saved(turn, group)
        _trim(turn)


def failed(turn: Turn, event: CommitFailed) -> None:
    """Say that an entry is not stored, and why; it stays in the queue."""
    landed = _land(turn, event.token)
    if landed is None:
        return
    flight, item = landed
    turn.set(failed=turn.at)
    if flight.quiet:
        return
    told = turn.state.told
    if flight.ahead:
        turn.set(told=turn.at)
        readback.emergency_not_saved(turn, item, event.reason)
    # Several entries that fail together are one piece of news.
    elif told is None or turn.at - told >= TOGETHER:
        turn.set(told=turn.at)
        readback.not_saved(turn, event.reason)
    readback.warn_unsaved(turn)


def mention_slow(turn: Turn) -> None:
    """Say once that a save takes long, so that silence is not taken for "saved"."""
    wait = turn.setting.manners.slow_commit
    slow = [
        flight
        for flight in turn.state.flights
        if not flight.mentioned and not flight.quiet and turn.at - flight.sent >= wait
    ]
    if slow:
        turn.set(
            flights=tuple(
                flight.model_copy(update={"mentioned": True}) if flight in slow else flight
                for flight in turn.state.flights
            )
        )
        turn.say_clearly(turn.says.not_saved_yet)


def _trim(turn: Turn) -> None:
    """Forget old rows, never those that something still refers to."""
    state = turn.state
    if len(state.log) <= 2 * KEPT:
        return
    old, recent = state.log[:-KEPT], state.log[-KEPT:]
    linked = {state.suction.id} if state.suction else set()
    for item in (*recent, *state.queue):
        linked |= {link for link in (item.procedure, item.target) if link is not None}
    kept = tuple(item for item in old if item.id in linked or item.procedure in linked)
    turn.set(caregiver=caregiver_of(state, old), log=(*kept, *recent))
