"""Many procedures with little or nothing obtained."""

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.scales import LITTLE
from voicelog.baseline.view import View

LAST, AT_LEAST, MOST = 12, 8, 0.5  # common practice, no source


@reason("little")
def little(view: View) -> Finding | None:
    """Signal when more than half of the last procedures brought up little or nothing."""
    amounts = view.last("amount", LAST)
    n = int((amounts <= LITTLE).sum())
    if len(amounts) < AT_LEAST or n <= MOST * len(amounts):
        return None
    return Finding("little", "note", {"n": n, "of": len(amounts)})
