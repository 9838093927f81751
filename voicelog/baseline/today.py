"""What is said: the normal in sentences, and the answer to "how is today?"."""

from voicelog.baseline.calendar import day_start, hours_between
from voicelog.baseline.intervals import Range, count_range
from voicelog.baseline.reasons import findings
from voicelog.baseline.scales import SCALES, word
from voicelog.baseline.view import View
from voicelog.baseline.words import Words

# "how is today?" takes under 15 seconds of speech at 150 words a minute.
MOST_WORDS = 36


def normal_sentences(view: View, words: Words) -> list[str]:
    """Return the child's normal, one plain sentence each, the daily count first."""
    normal = view.normal
    if normal.per_day is None:
        return [words.text("normal", "learning", days=normal.days, needed=normal.needed)]
    low, high = int(normal.per_day.low), int(normal.per_day.high)
    name = "same_per_day" if low == high else "per_day"
    said = [words.text("normal", name, low=low, high=high, days=normal.days)]
    for band, rate in normal.bands.items():
        label = words.text("normal", "bands", band)
        said.append(words.text("normal", "band", band=label, rate=_number(rate.value)))
    said += [_measure(slot, r, words) for slot, r in normal.measured.items()]
    said += [_morning(slot, r, words) for slot, r in normal.morning.items()]
    for slot, share in (("saline", normal.saline), ("foul", normal.foul)):
        if share is not None:
            said.append(words.text("normal", slot, share=round(100 * share.value)))
    if normal.fluid_ml is not None:
        drunk = normal.fluid_ml
        said.append(words.text("normal", "fluid_ml", low=round(drunk.low), high=round(drunk.high)))
    return said


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
    tail = [words.contact(view.settings)]
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
    return sum(len(part.split()) for part in parts)


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _measure(slot: str, r: Range, words: Words) -> str:
    name = words.text("normal", "names", slot)
    if slot in SCALES:
        low, high = word(slot, r.low), word(slot, r.high)
        kind, unit = "word", ""
    else:
        low, high = _number(r.low), _number(r.high)
        kind, unit = "number", words.raw["normal"]["units"].get(slot, "")
    form = "same" if low == high else "range"
    return words.text("normal", f"{kind}_{form}", name=name, low=low, high=high, unit=unit)


def _morning(slot: str, r: Range, words: Words) -> str:
    name = words.text("normal", "names", slot).lower()
    low, high = word(slot, r.low), word(slot, r.high)
    form = "morning_same" if low == high else "morning"
    return words.text("normal", form, name=name, low=low, high=high)
