"""A foul smell."""

import numpy as np

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.view import View


@reason("odour")
def odour(view: View) -> Finding | None:
    """Signal at any foul smell in the last day."""
    foul = int(np.nansum(view.recent("foul")))
    if not foul:
        return None
    return Finding("odour", "call", {"n": foul, "of": len(view.recent("foul"))})
