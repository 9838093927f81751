"""Minutes left in an oxygen cylinder."""

from functools import cache
from typing import Any

import yaml

from voicelog import data
from voicelog.errors import VoicelogError


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


@cache
def _table() -> dict[str, Any]:
    path = data.folder("shared") / "oxygen.yaml"
    table: dict[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return table


def minutes_left(size: str, psi: float, lpm: float, reserve_psi: float | None = None) -> float:
    """Return the minutes until the reserve is reached, 0 at or below it.

    Args:
        size: cylinder letter.
        psi: pressure on the gauge, pounds per square inch.
        lpm: flow, litres per minute.
        reserve_psi: pressure kept back, 200 psi by default.

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
    reserve = float(table["reserve_psi"]) if reserve_psi is None else reserve_psi
    return max(0.0, psi - reserve) * factors[size] / lpm
