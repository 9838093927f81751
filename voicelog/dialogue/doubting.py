"""Words that may mean several things: a question is put, and nothing is guessed.

No clinical limit is looked at here: a value out of range is as likely to be
what was said as one within it.
"""

from collections.abc import Sequence

from voicelog.dialogue import questions
from voicelog.dialogue.answering import Acts, left, take, try_again
from voicelog.dialogue.events import Asked
from voicelog.dialogue.phrasing import differing
from voicelog.dialogue.state import Choice, Missing, NoteText
from voicelog.dialogue.turn import Turn
from voicelog.entries import Slots


def doubt(turn: Turn, event: Asked) -> Acts:
    """Take in an utterance of open meaning; return what of it cannot wait."""
    known = dict(event.known)
    acts = _urgent(turn, known)
    question = turn.state.asking
    if isinstance(question, NoteText):
        questions.settle(turn)
        return (*acts, *left(turn, {"action": "note", "note": event.text}))
    candidates = tuple(each for each in event.candidates if each)
    if not candidates:
        # Words were left over that may be numbers, so what was read may be wrong as well.
        candidates, known = (known,), {}
    if not candidates[0]:
        return acts
    return (*acts, *_put(turn, candidates, known))


def _put(turn: Turn, candidates: tuple[Slots, ...], known: Slots) -> Acts:
    question = turn.state.asking
    if isinstance(question, Choice) and _slots(question.candidates) & _slots(candidates):
        kept = question.model_copy(update={"known": {**question.known, **known}})
        turn.set(asking=kept)
        return try_again(turn, kept)
    if isinstance(question, Missing):
        filling = _filling(question, candidates)
        if filling is not None:
            return take(turn, {**known, **filling})
    if question is not None and not isinstance(question, Choice):
        questions.settle(turn)
    choice = Choice(candidates=candidates, known=known, heard=turn.heard, at=turn.at)
    questions.ask(turn, choice)
    return ()


def _filling(question: Missing, candidates: Sequence[Slots]) -> Slots | None:
    """Return the one value of what was asked, where the other meaning only refuses to answer.

    "No" after "any smell?" is a smell of none, not a refusal.
    """
    filling = [each for each in candidates if question.slot in each]
    others = [each for each in candidates if question.slot not in each]
    if len(filling) == 1 and others and all(set(each) == {"answer"} for each in others):
        return filling[0]
    return None


def _slots(candidates: Sequence[Slots]) -> set[str]:
    return {slot for part in differing(candidates) for slot in part}


def _urgent(turn: Turn, known: Slots) -> Acts:
    """Take a clear "pass" or "out" from words in doubt: the clock cannot wait."""
    if known.get("action") not in ("pass_start", "pass_end"):
        return ()
    return left(turn, {"action": known.pop("action")})
