"""The daily mean colour has drifted from the child's usual: the EWMA chart."""

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.recheck import RECENT, drifting
from voicelog.baseline.scales import word
from voicelog.baseline.view import View


@reason("colour_drift")
def colour_drift(view: View) -> Finding | None:
    """Signal while the colour chart is raised."""
    chart = view.learner.scores["colour"]
    if chart.since is None or not drifting(view, "colour"):
        return None
    last = view.last("colour", RECENT)
    return Finding(
        "colour_drift",
        "look",
        {
            "days": view.learner.history.last_day - chart.since + 1,
            "word": word("colour", float(last.mean())),
            "usual": word("colour", chart.center),
        },
    )
