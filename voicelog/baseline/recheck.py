"""Looking again: whether colour or thickness was still off at the re-check.

Off-colour or thicker mucus in the first hours after waking is expected: it has
gathered overnight.  It is not a finding, only looked at again once those hours
are over.  (Common practice, no source.)
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time
from math import isnan
from typing import Literal

from voicelog.baseline.calendar import at_local
from voicelog.baseline.scales import COLOUR, THICKNESS, word
from voicelog.baseline.view import View

Slot = Literal["colour", "thickness"]
LOOKED_BACK = 48.0  # hours
RECENT = 6  # scores that must still show a drift
_EXPECTED = {"colour": COLOUR["white"], "thickness": THICKNESS["normal"]}  # before learning


@dataclass(frozen=True)
class Check:
    """One thing to look at again.

    Args:
        slot: colour or thickness.
        at: when it was off; aware, UTC.
        value: the word it was.
        due: when to look again; aware, UTC.
        morning: off in the first hours after waking.
        seen: the word at the re-check; None while it is open.
        still: it was still off then.

    """

    slot: Slot
    at: datetime
    value: str
    due: datetime
    morning: bool
    seen: str | None = None
    still: bool = False

    @property
    def key(self) -> str:
        """The same after every restart."""
        return f"{self.slot}:{int(self.at.timestamp())}"


def usual_high(view: View, slot: Slot) -> float:
    """Return the score above which mucus is off for this child; never stricter than white, normal.

    The child's own usual range wins once it is learned.
    """
    usual = view.normal.measured.get(slot)
    return max(_EXPECTED[slot], usual.high) if usual else _EXPECTED[slot]


def drifting(view: View, slot: Slot) -> bool:
    """Return whether the daily scores have drifted and the last ones still show it."""
    chart = view.learner.scores[slot]
    last = view.last(slot, RECENT)
    if chart.flagged is None or not len(last):
        return False
    return float(last.mean()) > chart.center + chart.edge


def checks(view: View, slot: Slot) -> list[Check]:
    """Return the checks of the last two days, oldest first, at most the last one open."""
    usual = usual_high(view, slot)
    found: list[Check] = []
    known = False  # still off at the last re-check: no news until it has been better
    for start, score, morning, day in _rows(view, slot):
        at = datetime.fromtimestamp(start, UTC)
        name, off = word(slot, score), score > usual
        if found and found[-1].seen is None:
            if at >= found[-1].due or not off:
                found[-1] = replace(found[-1], seen=name, still=off)
                known = off
        elif off and not known:
            due = _due(view, at, int(day), morning=bool(morning))
            found.append(Check(slot, at, name, due, bool(morning)))
        known = known and off
    return found


def _rows(view: View, slot: Slot) -> Iterator[tuple[float, float, float, float]]:
    columns = (
        view.recent("start", LOOKED_BACK),
        view.recent(slot, LOOKED_BACK),
        view.in_morning(LOOKED_BACK),
        view.recent("day", LOOKED_BACK),
    )
    for start, score, morning, day in zip(*(c.tolist() for c in columns), strict=True):
        if not isnan(score):
            yield start, score, morning, day


def _due(view: View, at: datetime, day: int, *, morning: bool) -> datetime:
    settings = view.settings
    soon = datetime.fromtimestamp(at.timestamp() + settings.recheck_minutes * 60, UTC)
    if not morning:
        return soon
    hour = min(settings.wake_hour + settings.morning_hours, 23.98)
    over = at_local(day, time(int(hour), int(hour % 1 * 60)), settings.zone)
    return max(soon, over)
