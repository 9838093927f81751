"""Fewer procedures than usual: less logging, or a child who coughs better."""

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.view import View


@reason("less_often")
def less_often(view: View) -> Finding | None:
    """Signal while the count chart's lower CUSUM is raised."""
    chart, usual = view.learner.count, view.normal.per_day
    if usual is None or chart.fall.since is None or chart.fall.flagged is None:
        return None
    since = chart.fall.since
    steps = [s for s in view.learner.steps[-60:] if s.day >= since and s.exposure > 0]
    whole = sum(s.exposure for s in steps)
    if not whole:
        return None
    return Finding(
        "less_often",
        "look",
        {
            "days": len(steps),
            "a_day": round(sum(s.n for s in steps) / whole, 1),
            "low": int(usual.low),
            "high": int(usual.high),
        },
    )
