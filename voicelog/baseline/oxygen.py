"""Minutes left in an oxygen cylinder."""

from functools import cache
from typing import Any

from voicelog import data
from voicelog.baseline.history import History
from voicelog.baseline.settings import Settings
from voicelog.errors import VoicelogError
from voicelog.plainyaml import read_yaml


class UnknownCylinderError(VoicelogError, KeyError):
    """A size letter without a factor."""

    def __init__(self, size: str) -> None:
        self.sentence = f"Cylinder size '{size}' is not known: use D, E, G, M, H or K."
        super().__init__(self.sentence)

    def __str__(self) -> str:
        return self.sentence


class NoFlowError(VoicelogError, ValueError):
    """A flow that would last for ever."""

    def __init__(self, lpm: float) -> None:
        super().__init__(f"A flow of {lpm:g} litres a minute cannot be right: say the flow again.")


def reserve_psi() -> float:
    """Return the pressure kept back, pounds per square inch."""
    return float(_table()["reserve_psi"])


def cylinder_minutes(history: History, settings: Settings) -> float | None:
    """Return the minutes left in the plan's cylinder at the flow logged last.

    None when the plan has no cylinder or gauge, or no flow is known.

    Raises:
        UnknownCylinderError: the plan's size has no factor.

    """
    flow = history.oxygen_lpm() or settings.oxygen_lpm
    if settings.cylinder is None or settings.cylinder_psi is None or not flow:
        return None
    return minutes_left(settings.cylinder, settings.cylinder_psi, flow)


@cache
def _table() -> dict[str, Any]:
    path = data.folder("shared") / "oxygen.yaml"
    table: dict[str, Any] = read_yaml(path)
    return table


def minutes_left(size: str, psi: float, lpm: float, reserve: float | None = None) -> float:
    """Return the minutes until the reserve is reached, 0 at or below it.

    Args:
        size: cylinder letter.
        psi: pressure on the gauge, pounds per square inch.
        lpm: flow, litres per minute.
        reserve: pressure kept back in psi, 200 by default.

    Raises:
        UnknownCylinderError: no factor for this size.
        NoFlowError: the flow is zero or less.

    Source: litres-per-psi factors and their sources in ``shared/oxygen.yaml``.

    """
    table = _table()
    factors = {row["size"]: float(row["litres_per_psi"]) for row in table["cylinders"]}
    if size not in factors:
        raise UnknownCylinderError(size)
    if lpm <= 0:
        raise NoFlowError(lpm)
    kept = reserve_psi() if reserve is None else reserve
    return max(0.0, psi - kept) * factors[size] / lpm
