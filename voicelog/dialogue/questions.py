"""Questions: put one at a time, each said a limited number of times."""

from collections.abc import Callable, Sequence

from voicelog.dialogue.actions import Reminded
from voicelog.dialogue.phrasing import differing
from voicelog.dialogue.state import (
    Choice,
    Missing,
    NoteText,
    Question,
    Reminder,
    State,
    Who,
)
from voicelog.dialogue.template import sentence
from voicelog.dialogue.turn import Turn
from voicelog.entries import Slots

MOST_NAMED = 3


def ask(turn: Turn, question: Question) -> None:
    """Put a question, after the one that is open; the same one is not put twice."""
    state = turn.state
    if any(_same(question, other) for other in (state.asking, *state.waiting)):
        return
    if state.asking is None:
        turn.set(asking=question)
    else:
        turn.set(waiting=(*state.waiting, question))


def _same(question: Question, other: Question | None) -> bool:
    if isinstance(question, Choice) and question.why == "meaning":
        return False  # two doubtful utterances are two questions
    if isinstance(question, Choice):
        return isinstance(other, Choice) and other.why == question.why
    return other is not None and other.kind == question.kind


def settle(turn: Turn) -> None:
    """Take the open question off and let the next one come."""
    waiting = turn.state.waiting
    turn.set(asking=waiting[0] if waiting else None, waiting=waiting[1:])


def drop_missing(turn: Turn) -> None:
    """Stop asking for values."""
    _drop(turn, lambda question: isinstance(question, Missing))


def drop_choice(turn: Turn, why: str) -> None:
    """Stop asking about a doubt that is over."""
    _drop(turn, lambda question: isinstance(question, Choice) and question.why == why)


def drop_reminder(turn: Turn) -> None:
    """Stop waiting for an answer to a reminder."""
    _drop(turn, lambda question: isinstance(question, Reminder))


def _drop(turn: Turn, unwanted: Callable[[Question], bool]) -> None:
    state = turn.state
    turn.set(waiting=tuple(question for question in state.waiting if not unwanted(question)))
    if state.asking is not None and unwanted(state.asking):
        settle(turn)


def hushed(turn: Turn) -> bool:
    """Tell whether to ask nothing, for a while after an emergency."""
    return turn.state.hush is not None and turn.at < turn.state.hush


def voice(turn: Turn) -> None:
    """Say the open question, once the reply to what was said before it is out."""
    question = turn.state.asking
    if question is None or question.voiced is not None or _reply_pending(turn.state):
        return
    if not (hushed(turn) and isinstance(question, (Missing, Reminder))):
        _say(turn, question)
    turn.set(asking=question.model_copy(update={"voiced": turn.at, "tries": question.tries + 1}))


def silence(turn: Turn) -> None:
    """Put the open question no more: something else matters now."""
    question = turn.state.asking
    if question is not None:
        tries = turn.setting.manners.tries
        turn.set(asking=question.model_copy(update={"voiced": turn.at, "tries": tries}))


def again(turn: Turn) -> None:
    """Have the open question said once more."""
    question = turn.state.asking
    if question is not None:
        turn.set(asking=question.model_copy(update={"voiced": None}))


def wait_on(turn: Turn) -> None:
    """Give the open question its full time again."""
    question = turn.state.asking
    if question is not None and question.voiced is not None:
        turn.set(asking=question.model_copy(update={"voiced": turn.at}))


def _reply_pending(state: State) -> bool:
    return any(not flight.mentioned and not flight.quiet for flight in state.flights)


def expected(question: Question) -> frozenset[str]:
    """Return the slots that answer a question; "answer" always may."""
    return frozenset({"answer"}) | _slots_of(question)


def _slots_of(question: Question) -> frozenset[str]:
    match question:
        case Choice():
            return frozenset(slot for part in differing(question.candidates) for slot in part)
        case Missing():
            return frozenset({question.slot})
        case Who():
            return frozenset({"caregiver"})
        case NoteText():
            return frozenset({"note"})
        case Reminder():
            return frozenset()


def _say(turn: Turn, question: Question) -> None:
    match question:
        case Choice():
            _say_choice(turn, question)
        case Missing():
            words = turn.phrasing.slot(question.slot)
            if words.ask:
                turn.speak(words.ask)
            else:
                turn.say(turn.says.what_value, name=words.name)
        case Who():
            names = sentence(turn.phrasing.either(turn.setting.caregivers))
            turn.say(turn.says.who_unknown if question.unknown else turn.says.who, names=names)
        case NoteText():
            turn.say(turn.says.what_note)
        case Reminder():
            _say_reminder(turn, question)


def _say_choice(turn: Turn, question: Choice) -> None:
    phrasing, says = turn.phrasing, turn.says
    known = {slot: value for slot, value in question.known.items() if slot != "action"}
    if known and not question.tries:
        turn.say(says.heard, what=phrasing.listing(known))
    if question.why == "again":
        turn.say(says.again)
    elif question.why == "running":
        turn.say(says.pass_running)
    elif question.why == "passes":
        said, timed = (
            phrasing.phrase("passes", candidate["passes"]) for candidate in question.candidates
        )
        turn.say(says.passes_differ, said=said, timed=timed)
    elif len(question.candidates) == 1:
        turn.say(says.is_it, option=phrasing.candidates(question.candidates)[0])
    else:
        _say_candidates(turn, question.candidates)


def _say_candidates(turn: Turn, candidates: Sequence[Slots]) -> None:
    """Name what it may have been; one number that could be many things is asked about as one."""
    phrasing = turn.phrasing
    said = {phrasing.value(slot, value) for part in candidates for slot, value in part.items()}
    if len(candidates) > MOST_NAMED and len(said) == 1:
        turn.say(turn.says.which, value=said.pop())
    else:
        names = phrasing.candidates(candidates)[:MOST_NAMED]
        turn.say(turn.says.either, options=phrasing.either(names))


def _say_reminder(turn: Turn, question: Reminder) -> None:
    text = question.text or turn.setting.replies.reminders.get(question.reminder)
    if text:
        turn.speak(text)
    else:
        turn.say(turn.says.reminder, what=turn.phrasing.action(question.reminder))
    turn.do(Reminded(question.reminder))
