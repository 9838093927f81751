"""Passes over time."""

import numpy as np

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.view import View


@reason("long_pass")
def long_pass(view: View) -> Finding | None:
    """Signal at any procedure whose longest pass was over time in the last day."""
    limit = view.settings.pass_seconds_high
    values = view.recent("pass_seconds")
    if limit is None or not (values > limit).any():
        return None
    return Finding(
        "long_pass",
        "look",
        {
            "n": int((values > limit).sum()),
            "of": int((~np.isnan(values)).sum()),
            "most": round(float(np.nanmax(values))),
            "limit": round(limit),
            "whose": view.whose("pass_seconds_high"),
        },
    )
