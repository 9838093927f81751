"""Blood: red, pink or blood-tinged."""

import numpy as np

from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.view import View


@reason("blood")
def blood(view: View) -> Finding | None:
    """Signal at any blood in the last day."""
    seen = int(np.nansum(view.recent("blood")))
    if not seen:
        return None
    return Finding("blood", "call", {"n": seen, "of": len(view.recent("blood"))})
