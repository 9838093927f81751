"""Pressures above the limit."""

import numpy as np

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.view import View


@reason("pressure")
def pressure(view: View) -> Finding | None:
    """Signal at any pressure above the limit in the last day; the limit itself is within."""
    limit = view.settings.pressure_high
    values = view.recent("pressure_mmhg")
    if limit is None or not (values > limit).any():
        return None
    return Finding(
        "pressure",
        "look",
        {
            "n": int((values > limit).sum()),
            "of": int((~np.isnan(values)).sum()),
            "most": int(np.nanmax(values)),
            "limit": round(limit),
            "whose": view.whose("pressure_high"),
        },
    )
