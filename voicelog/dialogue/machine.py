"""The conversation as a function: a state and an event give a state and actions."""

from dataclasses import dataclass

from voicelog.dialogue import (
    acting,
    answering,
    doubting,
    emergency,
    finishing,
    helping,
    live,
    opening,
    outbox,
    questions,
    timers,
)
from voicelog.dialogue.actions import Action, Say
from voicelog.dialogue.acts import Act
from voicelog.dialogue.events import (
    Answered,
    Asked,
    CommitFailed,
    Committed,
    Due,
    Event,
    Fault,
    Key,
    NotUnderstood,
    Started,
    Tick,
    Understood,
)
from voicelog.dialogue.setting import Setting
from voicelog.dialogue.state import State
from voicelog.dialogue.turn import Turn
from voicelog.entries import Heard, Slots

ANSWER_KEYS = frozenset({*answering.PLACES, *answering.REFUSALS, "yes"})


@dataclass(frozen=True)
class Dialogue:
    """The conversation about one child.

    It holds nothing but its setting: whoever calls ``step`` keeps the state,
    does the actions in order, and sends back what came of each commit.
    """

    setting: Setting

    def step(self, state: State, event: Event) -> tuple[State, tuple[Action, ...]]:
        """Return the state after ``event``, and what is to be done about it."""
        turn = Turn(self.setting, state, event.at, event.now)
        _react(turn, event)
        _settle(turn)
        return turn.state, tuple(turn.actions)


def _react(turn: Turn, event: Event) -> None:  # noqa: C901 - a table of events
    match event:
        case Understood():
            _understood(turn, event.slots, event.words)
        case Asked():
            _asked(turn, event)
        case NotUnderstood():
            _not_understood(turn, event.text)
        case Tick():
            timers.tick(turn)
        case Key():
            _key(turn, event.name)
        case Committed():
            outbox.committed(turn, event)
        case CommitFailed():
            outbox.failed(turn, event)
        case Answered():
            turn.speak(event.text)
        case Due():
            helping.due(turn, event)
        case Fault():
            helping.fault(turn, event)
        case Started():
            _started(turn)


def _settle(turn: Turn) -> None:
    """Do what follows from any event: go on closing, save, ask, listen."""
    finishing.advance(turn)
    outbox.send(turn)
    helping.remind(turn)
    questions.voice(turn)
    live.follow(turn)
    texts = [action.text for action in turn.actions if isinstance(action, Say)]
    if texts:
        turn.set(last_reply=" ".join(texts))


def _understood(turn: Turn, slots: Slots, heard: Heard) -> None:
    turn.heard = heard
    finishing.touch(turn)
    rest = dict(slots)
    if rest.get("action") == "emergency":
        emergency.sound(turn, {})
        del rest["action"]
        if not rest:
            return
    elif not rest:
        opening.wake(turn)
    if turn.state.asking is not None:
        acting.perform(turn, answering.take(turn, rest))
    elif set(rest) == {"answer"}:
        _gently(turn)
    elif rest:
        acting.perform(turn, (Act(rest, heard, turn.at),))


def _asked(turn: Turn, event: Asked) -> None:
    if not event.candidates and not event.known:
        _not_understood(turn, event.text)
        return
    turn.heard = event.words
    finishing.touch(turn)
    meanings = (event.known, *event.candidates)
    if any(meaning.get("action") == "emergency" for meaning in meanings):
        # Said once too often does less harm than once too few; it can be undone.
        rest = {slot: value for slot, value in event.known.items() if slot != "action"}
        _understood(turn, {**rest, "action": "emergency"}, event.words)
        return
    acting.perform(turn, doubting.doubt(turn, event))


def _not_understood(turn: Turn, text: str) -> None:
    acts = answering.not_understood(turn, text)
    if acts is None:
        _gently(turn)
    else:
        acting.perform(turn, acts)


def _gently(turn: Turn) -> None:
    """Say that something was not caught, where somebody is speaking to us, and not often."""
    state = turn.state
    listening = state.suction is not None or state.asking is not None or state.awake is not None
    last, gap = state.gentle, turn.setting.manners.gentle_gap
    if not listening or questions.hushed(turn):
        return
    if last is None or turn.at - last >= gap:
        turn.set(gentle=turn.at)
        turn.say(turn.says.not_caught)


def _key(turn: Turn, name: str) -> None:
    heard = Heard(text=name)
    if name == "pass":
        name = "pass_start" if turn.state.running is None else "pass_end"
    if name in ANSWER_KEYS:
        _understood(turn, {"answer": name}, heard)
    elif name in turn.setting.replies.actions:
        _understood(turn, {"action": name}, heard)


def _started(turn: Turn) -> None:
    if turn.state.suction is not None:
        turn.say(turn.says.still_open, time=turn.phrasing.clock(turn.state.suction.started))
    live.announce(turn)
