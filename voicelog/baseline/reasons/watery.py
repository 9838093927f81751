"""Very thin and wet: perhaps too much water in the air the child breathes."""

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.scales import THICKNESS
from voicelog.baseline.view import View

_LAST, _AT_LEAST = 6, 4  # common practice, no source


@reason("watery")
def watery(view: View) -> Finding | None:
    """Signal when most of the last procedures were watery and that is not usual."""
    scores = view.last("thickness", _LAST, 36.0)
    usual = view.normal.measured.get("thickness")
    if usual is not None and usual.low <= THICKNESS["watery"]:
        return None
    n = int((scores <= THICKNESS["watery"]).sum())
    return Finding("watery", "look", {"n": n, "of": len(scores)}) if n >= _AT_LEAST else None
