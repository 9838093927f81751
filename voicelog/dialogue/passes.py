"""Passes: timed from "pass" to "out"."""

from voicelog.dialogue import opening, outbox, questions, values
from voicelog.dialogue.actions import StartClock, StopClock, Tone
from voicelog.dialogue.acts import PASS_AGAIN
from voicelog.dialogue.outbox import Links
from voicelog.dialogue.state import Choice, Running
from voicelog.dialogue.turn import Turn
from voicelog.entries import Entry, Slots

SOFT, CLEAR = 1, 2


def start(turn: Turn, slots: Slots) -> None:
    """Time a pass; a second "pass" while one runs may mean "out", so it is asked about."""
    if turn.state.running is None:
        _run(turn)
    else:
        candidates: tuple[Slots, ...] = ({"action": "pass_end"}, {"action": PASS_AGAIN})
        question = Choice(why="running", candidates=candidates, heard=turn.heard, at=turn.at)
        questions.ask(turn, question)
    values.add(turn, slots)


def again(turn: Turn, slots: Slots) -> None:
    """Time a new pass in place of one whose "out" was not heard."""
    if turn.state.running is not None:
        _lose(turn)
    _run(turn)
    values.add(turn, slots)


def _run(turn: Turn) -> None:
    if turn.state.suction is None:
        opening.begin(turn)
    _resume(turn)
    turn.set(running=Running(since=turn.spoken_at))
    turn.do(StartClock("pass"))
    turn.do(Tone("started"))


def _resume(turn: Turn) -> None:
    """Take back "finish": who starts another pass is not finished."""
    suction = turn.state.suction
    if suction is not None and suction.missing is not None:
        turn.set(suction=suction.model_copy(update={"missing": None}))
        questions.drop_missing(turn)


def end(turn: Turn, slots: Slots) -> None:
    """Log the pass that runs, in seconds to one decimal."""
    running, suction = turn.state.running, turn.state.suction
    if running is None or suction is None:
        turn.say(turn.says.no_pass)
    else:
        seconds = round(max(0.0, turn.spoken_at - running.since), 1)
        if seconds > turn.setting.manners.pass_longest:
            forget(turn)
        elif seconds < turn.setting.manners.pass_shortest:
            _lose(turn)
            turn.say_clearly(turn.says.pass_short)
        else:
            stop(turn)
            entry = Entry(kind="pass", slots={"pass_seconds": seconds})
            outbox.add(turn, entry, "pass", Links(procedure=suction.id))
    values.add(turn, slots)


def stop(turn: Turn) -> None:
    """Stop the clock, if it runs."""
    if turn.state.running is not None:
        turn.set(running=None)
        turn.do(StopClock("pass"))
        questions.drop_choice(turn, "running")


def drop(turn: Turn) -> None:
    """Take back the pass that runs."""
    stop(turn)
    turn.say(turn.says.pass_dropped)


def forget(turn: Turn) -> None:
    """Stop a clock nobody stopped: its time means nothing, but the pass was made."""
    _lose(turn)
    turn.say_clearly(turn.says.pass_forgotten)


def _lose(turn: Turn) -> None:
    suction = turn.state.suction
    if suction is not None:
        turn.set(suction=suction.model_copy(update={"untimed": suction.untimed + 1}))
    stop(turn)


def tick(turn: Turn) -> None:
    """Play the tones when they are due, and stop a forgotten clock."""
    running, limit = turn.state.running, turn.setting.pass_limit
    if running is None:
        return
    elapsed = turn.at - running.since
    if elapsed > turn.setting.manners.pass_longest:
        forget(turn)
    elif limit is not None and elapsed >= limit:
        _tone(turn, running, CLEAR)
    elif limit is not None and elapsed >= limit - turn.setting.manners.soft_before:
        _tone(turn, running, SOFT)


def _tone(turn: Turn, running: Running, told: int) -> None:
    if running.told < told:
        turn.set(running=running.model_copy(update={"told": told}))
        turn.do(Tone("clear" if told == CLEAR else "soft"))
