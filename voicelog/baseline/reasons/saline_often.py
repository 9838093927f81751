"""Saline at most procedures."""

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.view import View

LAST, MOST = 20, 0.5


@reason("saline_often")
def saline_often(view: View) -> Finding | None:
    """Signal when more than half of the last twenty procedures had saline."""
    used = view.last("saline", LAST, 96.0)
    n = int(used.sum())
    if len(used) < LAST or n <= MOST * len(used):
        return None
    usual = view.normal.saline
    share = round(100 * usual.value) if usual else round(100 * n / len(used))
    return Finding("saline_often", "note", {"n": n, "of": len(used), "usual": share})
