"""Nothing logged for much longer than usual."""

from voicelog.baseline.calendar import HOUR, hours_between
from voicelog.baseline.coverage import EXPECTED_IN_GAP
from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.view import View

_FORGOTTEN = 30 * 24 * HOUR  # seconds: after a month the log is simply not in use


@reason("no_log")
def no_log(view: View) -> Finding | None:
    """Signal when seven usual procedures would have come since the last entry.

    With Poisson counts that happens by chance once in a thousand pauses.
    """
    history = view.learner.history
    if not view.normal.known:
        return None
    last, now = history.last_entry, view.now.timestamp()
    if not 0 < now - last < _FORGOTTEN:
        return None
    shares = view.learner.profile.shares
    pieces = hours_between(last, now, view.settings.zone)
    expected = view.learner.count.pool.mean * sum(shares[h] * length for _, h, length in pieces)
    if expected < EXPECTED_IN_GAP:
        return None
    hours = (now - last) / HOUR
    return Finding("no_log", "look", {"hours": round(hours), "expected": round(float(expected))})
