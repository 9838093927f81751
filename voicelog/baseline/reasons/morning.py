"""Off-colour or thick just after waking: expected, only looked at again."""

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.recheck import Slot, checks
from voicelog.baseline.view import View

_SLOTS: tuple[Slot, ...] = ("colour", "thickness")


@reason("morning")
def morning(view: View) -> Finding | None:
    """Tell when to look again after a morning that was off."""
    for slot in _SLOTS:
        looked = checks(view, slot)
        if looked and looked[-1].morning and looked[-1].seen is None:
            check = looked[-1]
            due = check.due.astimezone(view.settings.zone)
            return Finding("morning", "note", {"word": check.value, "time": f"{due:%H:%M}"})
    return None
