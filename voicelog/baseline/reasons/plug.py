"""Thick mucus with deeper or more passes than usual: a plug may be forming."""

import numpy as np

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.scales import THICK
from voicelog.baseline.view import View

_HOURS, _LAST, _AT_LEAST = 12.0, 4, 2  # common practice, no source


@reason("plug")
def plug(view: View) -> Finding | None:
    """Signal when two of the last four procedures were both thick and hard to clear."""
    thick = view.recent("thickness", _HOURS)[-_LAST:] >= THICK
    passes = view.recent("passes", _HOURS)[-_LAST:]
    depth = view.recent("depth_cm", _HOURS)[-_LAST:]
    most, deepest = _limits(view)
    hard = (passes > most) | (depth > deepest)
    n = int((thick & hard).sum())
    if n < _AT_LEAST:
        return None
    return Finding(
        "plug",
        "call",
        {"n": n, "of": len(passes), "passes": int(np.nanmax(np.append(passes, 0)))},
    )


def _limits(view: View) -> tuple[float, float]:
    """Usual most passes and deepest; the plan's where there is no usual yet."""
    usual, plan = view.normal.measured, view.settings
    most = usual["passes"].high if "passes" in usual else plan.passes_high or 3.0
    if plan.depth_cm is not None:
        return most, plan.depth_cm + plan.deeper_allowed_cm
    return most, usual["depth_cm"].high if "depth_cm" in usual else float("inf")
