"""Off-colour, and still so when looked at again."""

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.recheck import checks, usual_high
from voicelog.baseline.scales import word
from voicelog.baseline.view import View


@reason("colour_changed")
def colour_changed(view: View) -> Finding | None:
    """Signal while the latest re-check found the colour still off."""
    looked = [c for c in checks(view, "colour") if c.seen is not None]
    last = view.last("colour", 1, 48.0)
    usual = usual_high(view, "colour")
    if not looked or not looked[-1].still or not len(last) or last[0] <= usual:
        return None
    check = looked[-1]
    at = check.at.astimezone(view.settings.zone)
    return Finding(
        "colour_changed",
        "call",
        {
            "word": word("colour", float(last[0])),
            "first": check.value,
            "time": f"{at:%H:%M}",
            "usual": word("colour", usual),
        },
    )
