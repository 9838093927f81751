"""Thick mucus on a day with little to drink."""

import numpy as np

from voicelog.baseline.calendar import HOUR
from voicelog.baseline.reasons.finding import Finding, reason
from voicelog.baseline.scales import THICK
from voicelog.baseline.view import View

_THICK_TIMES, _LOW_SHARE = 3, 0.75  # common practice, no source


@reason("dry")
def dry(view: View) -> Finding | None:
    """Signal at three thick procedures and under three quarters of the fluid in 24 hours."""
    n = int((view.recent("thickness") >= THICK).sum())
    usual = view.normal.fluid_ml
    wanted = view.settings.fluid_target_ml or (usual.value if usual else None)
    if n < _THICK_TIMES or wanted is None:
        return None
    drunk = _fluid(view)
    # Nothing logged at all is not the same as nothing drunk.
    if not 0 < drunk < _LOW_SHARE * wanted:
        return None
    return Finding("dry", "call", {"n": n, "ml": round(drunk), "usual": round(wanted)})


def _fluid(view: View) -> float:
    history = view.learner.history
    end = view.now.timestamp()
    total = 0.0
    for table, ml in ((history.events.table, 2), (history.procedures.table, None)):
        values = table[:, ml] if ml is not None else history.procedures.column("fluid_ml")
        recent = (table[:, 0] > end - 24 * HOUR) & (table[:, 0] <= end) & ~np.isnan(values)
        total += float(values[recent].sum())
    return total
