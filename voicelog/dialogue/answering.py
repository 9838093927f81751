"""Answers to questions: a choice, a value, a refusal, or no answer at all.

Whatever comes, the part that was clear is kept.
"""

from voicelog.dialogue import questions
from voicelog.dialogue.actions import Snooze
from voicelog.dialogue.acts import AS_SAID, LOG_AGAIN, Act
from voicelog.dialogue.phrasing import differing
from voicelog.dialogue.record import open_passes
from voicelog.dialogue.state import Choice, Missing, NoteText, Reminder, Who
from voicelog.dialogue.turn import Turn
from voicelog.entries import Heard, Slots

PLACES = {"first": 0, "second": 1, "third": 2}
REFUSALS = frozenset({"neither", "no", "skip", "later"})
# Said beside a question without being an answer; it stays open.
BESIDE = frozenset({"pass_start", "pass_end", "repeat", "help"})

Acts = tuple[Act, ...]


def take(turn: Turn, slots: Slots) -> Acts:
    """Let the open question take what answers it; return what is left to act on, in order."""
    question = turn.state.asking
    rest = dict(slots)
    reply = str(rest.pop("answer", ""))
    match question:
        case Choice():
            return _choice(turn, question, reply, rest)
        case Missing():
            return _missing(turn, question, reply, rest)
        case NoteText():
            return _note(turn, reply, rest)
        case Who():
            return _who(turn, reply, rest)
        case Reminder():
            return _reminder(turn, question, reply, rest)
    return left(turn, rest)


def left(turn: Turn, slots: Slots) -> Acts:
    """Return what was said just now, unless nothing of it is left."""
    return (Act(slots, turn.heard, turn.at),) if slots else ()


def _choice(turn: Turn, question: Choice, reply: str, slots: Slots) -> Acts:
    place = 0 if reply == "yes" and len(question.candidates) == 1 else PLACES.get(reply)
    if place is not None and place < len(question.candidates):
        return _resolve(turn, question, question.candidates[place], slots, question.at)
    if reply in REFUSALS:
        return (*refuse(turn, question), *left(turn, slots))
    if question.why != "again":
        chosen = _by_value(question, slots)
        if chosen is not None:
            return _resolve(turn, question, chosen, slots, turn.at)
    action = str(slots.get("action", ""))
    if action == "undo" and question.why != "running":
        return _drop(turn, question)
    if action and action not in BESIDE | turn.setting.manners.reports:
        return (*give_up(turn, question), *left(turn, slots))
    if action:
        questions.wait_on(turn)
    else:
        questions.again(turn)
    return left(turn, slots)


def _by_value(question: Choice, slots: Slots) -> Slots | None:
    """Return the candidate that was said, or what was said in place of all of them."""
    parts = differing(question.candidates)
    for candidate, part in zip(question.candidates, parts, strict=True):
        if part.items() <= slots.items():
            return candidate
    asked = {slot for part in parts for slot in part} - {"action"}
    said = {slot: value for slot, value in slots.items() if slot in asked}
    return said or None


def _resolve(turn: Turn, question: Choice, chosen: Slots, extra: Slots, at: float) -> Acts:
    questions.settle(turn)
    heard = _both(question.heard, turn.heard)
    first = {**question.known, **chosen}
    if question.why == "again":
        first["action"] = LOG_AGAIN
    then = dict(extra)
    # Two actions cannot share one act.
    if "action" in first and then.get("action", first["action"]) != first["action"]:
        action = then.pop("action")
        return (Act({**first, **then}, heard, at), Act({"action": action}, turn.heard, turn.at))
    return (Act({**first, **then}, heard, at),)


def _both(asked: Heard, answer: Heard) -> Heard:
    """Keep the words of the doubt with its hypotheses, and the words that settled it."""
    text = " / ".join(words for words in (asked.text, answer.text) if words)
    return asked.model_copy(update={"text": text})


def refuse(turn: Turn, question: Choice) -> Acts:
    """Leave the doubtful part out; what was clear is kept."""
    questions.settle(turn)
    if question.why == "meaning" and len(question.candidates) == 1:
        _say_dropped(turn, question.candidates[0])
    elif question.why == "meaning":
        turn.say(turn.says.left_out)
    elif question.why == "again":
        turn.say(turn.says.not_again)
    elif question.why == "passes":
        questions.ask(turn, Missing(slot="passes"))
    return _kept(question, question.known)


def give_up(turn: Turn, question: Choice) -> Acts:
    """Stop asking: a count that was said is kept as said, and the other one told."""
    if question.why != "passes":
        return refuse(turn, question)
    questions.settle(turn)
    timed = len(open_passes(turn.state))
    turn.say_clearly(turn.says.passes_timed, timed=turn.phrasing.phrase("passes", timed))
    return _kept(question, {"action": AS_SAID, **question.candidates[0]})


def _kept(question: Choice, slots: Slots) -> Acts:
    return (Act(slots, question.heard, question.at),) if slots else ()


def flush(turn: Turn) -> Acts:
    """Give up every doubt that is open, keeping what was clear: the procedure is ending."""
    acts: list[Act] = []
    while turn.state.asking is not None:
        question = turn.state.asking
        if isinstance(question, Choice):
            acts.extend(give_up(turn, question))
        else:
            questions.settle(turn)
    return tuple(acts)


def _drop(turn: Turn, question: Choice) -> Acts:
    """Take back words that were only asked about: nothing of them was stored."""
    questions.settle(turn)
    _say_dropped(turn, {**question.candidates[0], **question.known})
    return ()


def _say_dropped(turn: Turn, slots: Slots) -> None:
    values = dict(slots)
    action = values.pop("action", None)
    before = [] if action is None else [turn.phrasing.action(str(action))]
    turn.say_clearly(turn.says.dropped, what=turn.phrasing.listing(values, before=before))


def _missing(turn: Turn, question: Missing, reply: str, slots: Slots) -> Acts:
    if question.slot in slots or reply in REFUSALS:
        questions.settle(turn)
    else:
        questions.wait_on(turn)
    return left(turn, slots)


def _note(turn: Turn, reply: str, slots: Slots) -> Acts:
    questions.settle(turn)
    if reply in REFUSALS:
        return ()
    if "action" in slots:
        return left(turn, slots)
    # Any words are the note, even those that would be values elsewhere.
    return left(turn, {"action": "note", "note": slots.get("note") or turn.heard.text})


def _who(turn: Turn, reply: str, slots: Slots) -> Acts:
    if "caregiver" in slots:
        questions.settle(turn)
        return left(turn, {"action": "who", **slots})
    if reply in REFUSALS or "action" in slots:
        questions.settle(turn)
    return left(turn, slots)


def _reminder(turn: Turn, question: Reminder, reply: str, slots: Slots) -> Acts:
    questions.settle(turn)
    if reply == "later":
        minutes = turn.setting.manners.snooze_minutes
        turn.do(Snooze(question.reminder, minutes))
        turn.say(turn.says.snoozed, minutes=turn.phrasing.minutes(minutes))
    return left(turn, slots)


def not_understood(turn: Turn, text: str) -> Acts | None:
    """Count words without meaning as a try; return None where they are no answer at all."""
    question = turn.state.asking
    if isinstance(question, Choice):
        return try_again(turn, question)
    if isinstance(question, NoteText) and text:
        questions.settle(turn)
        heard = Heard(text=text)
        return (Act({"action": "note", "note": text}, heard, turn.at),)
    return None


def tick(turn: Turn) -> Acts:
    """Say an unanswered question again, or move on; return what is to be acted on."""
    question = turn.state.asking
    if question is None or question.voiced is None:
        return ()
    if turn.at - question.voiced < turn.setting.manners.answer_wait:
        return ()
    if isinstance(question, Choice):
        return try_again(turn, question)
    questions.settle(turn)
    return ()


def try_again(turn: Turn, question: Choice) -> Acts:
    """Put a choice again, or give it up after enough tries."""
    if question.tries < turn.setting.manners.tries and question.why in ("meaning", "passes"):
        questions.again(turn)
        return ()
    return give_up(turn, question)
