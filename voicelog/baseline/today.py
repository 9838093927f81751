"""The answer to "how is today?", short enough to be spoken."""

from voicelog.baseline.calendar import day_start, hours_between
from voicelog.baseline.intervals import Range, count_range
from voicelog.baseline.reasons import findings
from voicelog.baseline.view import View
from voicelog.baseline.words import Words

# Under 15 seconds of speech at the voice's usual 160 words a minute, pauses included.
MOST_WORDS = 39


def how_is_today(view: View, words: Words) -> str:
    """Return the answer to "how is today?", at most ``MOST_WORDS`` words."""
    history = view.learner.history
    started = day_start(view.today, view.settings.zone)
    mine = history.procedures.column("start") >= started
    mine &= history.procedures.column("start") <= view.now.timestamp()
    count = int(mine.sum())
    name = "none" if count == 0 else "one" if count == 1 else "count"
    said = [words.text("today", name, count=count)]
    usual = usual_by_now(view)
    if usual is None:
        said.append(words.text("today", "learning"))
    else:
        said.append(words.text("today", "usual", low=int(usual.low), high=int(usual.high)))
    said += _noticed(view, words, said)
    return " ".join(said)


def _noticed(view: View, words: Words, said: list[str]) -> list[str]:
    found = findings(view)
    if not found:
        return [words.text("today", "fine")]
    contact = view.settings.contact
    tail = [words.text("today", "contact" if contact else "no_contact", contact=contact)]
    room = MOST_WORDS - _length(said + tail) - _length([words.text("today", "more", n=len(found))])
    told: list[str] = []
    for i, finding in enumerate(found):
        short = words.short(finding)
        if _length([*told, short]) > room:
            told.append(words.text("today", "more", n=len(found) - i))
            break
        told.append(short)
    return told + tail


def usual_by_now(view: View) -> Range | None:
    """Return the usual number of procedures by this time of day; None while learning."""
    learner = view.learner
    if learner.count.fitted is None:
        return None
    start = day_start(view.today, view.settings.zone)
    shares = learner.profile.shares
    pieces = hours_between(start, view.now.timestamp(), view.settings.zone)
    share = float(sum(shares[hour] * length for _, hour, length in pieces))
    return count_range(learner.count.fitted, learner.count.pool.doubt, exposure=share)


def _length(parts: list[str]) -> int:
    """Count words as spoken: a telephone number is spoken digit by digit."""
    tokens = " ".join(parts).split()
    digits = [sum(c.isdigit() for c in token) for token in tokens]
    return sum(n if n >= 3 else 1 for n in digits)
