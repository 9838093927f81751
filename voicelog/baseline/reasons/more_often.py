"""More procedures than usual: the count chart's upper CUSUM, told even before the day ends."""

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.view import View

_LATELY = 2  # days


@reason("more_often")
def more_often(view: View) -> Finding | None:
    """Signal while the rise is raised, or as soon as today's count makes it certain."""
    learner, usual = view.learner, view.normal.per_day
    chart, history = learner.count, learner.history
    if usual is None or not len(history.by_hour):
        return None
    open_day = history.last_day
    so_far = float(history.by_hour[-1].sum())
    early = chart.rising_by(so_far, 1.0)
    lately = [s for s in learner.steps[-_LATELY:] if s.exposure > 0]
    still = sum(s.n for s in lately) >= chart.rise.k * sum(s.exposure for s in lately)
    raised = chart.rise.flagged is not None and chart.rise.since is not None
    # A raised chart comes down slowly; a rise that is over is not told again.
    if not early and not (raised and still):
        return None
    since = chart.rise.since if chart.rise.since is not None else chart.rise.last_zero + 1
    steps = [s for s in learner.steps[-60:] if s.day >= since and s.exposure > 0]
    counts = sum(s.n for s in steps) + so_far
    days = len(steps) + 1
    whole = sum(s.exposure for s in steps)
    rate = (counts - so_far) / whole if whole else so_far
    return Finding(
        "more_often",
        "call",
        {
            "count": int(counts),
            "days": days,
            "a_day": round(max(rate, so_far if early else 0.0)),
            "low": int(usual.low),
            "high": int(usual.high),
            "today": int(so_far) if view.today == open_day else 0,
        },
    )
