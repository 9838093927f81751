"""How a child's procedures fall over the hours of a usual day."""

from dataclasses import dataclass, field

import numpy as np

from voicelog.baseline.runlength import Floats

_FLAT = 1.0  # procedures a day, spread evenly, assumed before anything is known
_FULL = 1e-9


@dataclass
class Profile:
    """Counts and logged hours by local hour of day, over ordinary days."""

    counts: Floats = field(default_factory=lambda: np.zeros(24))
    hours: Floats = field(default_factory=lambda: np.zeros(24))

    def add(self, counts: Floats, hours: Floats) -> None:
        """Take in one ordinary day, both of shape ``(24,)``."""
        self.counts = self.counts + counts
        self.hours = self.hours + hours

    @property
    def shares(self) -> Floats:
        """Share of a usual day's procedures in each local hour, shape ``(24,)``, sum 1."""
        rates = (self.counts + _FLAT / 24) / (self.hours + 1.0)
        smooth = (np.roll(rates, 1) + 2 * rates + np.roll(rates, -1)) / 4
        return np.asarray(smooth / smooth.sum())

    def exposure(self, hours: Floats) -> float:
        """Return the share of a usual day's procedures expected in these logged hours."""
        if abs(hours - 1.0).max() < _FULL:
            return 1.0
        return float(self.shares @ hours)
