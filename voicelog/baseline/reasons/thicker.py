"""Thicker than usual for several procedures, or a steady drift of the daily mean."""

import numpy as np

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.recheck import drifting, usual_high
from voicelog.baseline.scales import word
from voicelog.baseline.view import View

IN_A_ROW = 3  # common practice, no source


@reason("thicker")
def thicker(view: View) -> Finding | None:
    """Signal at three in a row above usual outside the morning hours, or by the EWMA."""
    scores = view.recent("thickness", 48.0)
    kept = ~np.isnan(scores) & (view.in_morning(48.0) == 0)
    scores = scores[kept]
    usual = usual_high(view, "thickness")
    thick = scores > usual
    run = len(thick) if thick.all() else int(np.argmin(thick[::-1]))
    drift = drifting(view, "thickness")
    if run < IN_A_ROW and not drift:
        return None
    if run < IN_A_ROW:
        run = int(thick.sum())
    if run == 0:
        return None
    return Finding(
        "thicker",
        "look",
        {
            "n": run,
            "word": word("thickness", float(np.median(scores[thick][-run:]))),
            "usual": word("thickness", usual),
        },
    )
