"""Drinks and feeds against the plan's target; a published rule only beside it."""

from dataclasses import dataclass
from functools import cache
from typing import Any

from voicelog import data
from voicelog.baseline.history import History
from voicelog.baseline.settings import Settings
from voicelog.plainyaml import read_yaml


@dataclass(frozen=True)
class Intake:
    """A day's fluid in millilitres.

    Args:
        ml: logged so far on that local day.
        target_ml: the plan's target, or None.
        reference_ml: the 100/50/20 rule for the child's weight, for comparison only.

    """

    ml: float
    target_ml: float | None
    reference_ml: float | None

    @property
    def share(self) -> float | None:
        """Part of the plan's target, or None without one."""
        return self.ml / self.target_ml if self.target_ml else None


@cache
def _rule() -> list[dict[str, Any]]:
    path = data.folder("shared") / "fluids.yaml"
    steps: list[dict[str, Any]] = read_yaml(path)["rule"]["day"]
    return steps


def reference_ml(weight_kg: float) -> float:
    """Return the 100/50/20 rule's fluid for one day; to show, never to act on.

    Source: Holliday & Segar, Pediatrics 1957;19:823-832; steps in ``shared/fluids.yaml``.
    """
    total, below = 0.0, 0.0
    for step in _rule():
        top = min(weight_kg, float(step.get("up_to_kg", weight_kg)))
        total += max(0.0, top - below) * float(step["ml_per_kg"])
        below = max(below, top)
    return total


def intake(history: History, settings: Settings, day: int) -> Intake:
    """Return the fluid logged on a local day (ordinal)."""
    days, ml = history.fluids()
    weight = settings.weight_kg
    return Intake(
        ml=float(ml[days == day].sum()),
        target_ml=settings.fluid_target_ml,
        reference_ml=None if weight is None else reference_ml(weight),
    )
