"""The ordinary days a child's usual number of procedures is learned from."""

from collections import deque
from dataclasses import dataclass, field
from math import log1p, sqrt

from voicelog.baseline.frailty import MEMORY, Days

PRIOR_SPREAD = 0.14  # log-rate scatter assumed before the child has shown its own; no source
PRIOR_DAYS = 45  # ordinary days after which the child's own scatter weighs as much
MAX_SPREAD = 0.4
WINDOW = 365  # ordinary days remembered: a child grows


@dataclass
class Pool:
    """Sums over the last ordinary days, updated one day at a time.

    ``counts`` and ``exposures`` are parallel: procedures in a day, and the
    share of a usual day's procedures that its logged hours would have held.
    """

    window: int = WINDOW
    days: deque[tuple[float, float]] = field(default_factory=deque)
    events: float = 0.0
    exposure: float = 0.0
    squares: float = 0.0  # sum of count^2
    cross: float = 0.0  # sum of count * exposure
    exposure2: float = 0.0

    def add(self, count: float, exposure: float) -> None:
        """Take in one ordinary day and let the oldest go."""
        self._count(count, exposure, 1)
        self.days.append((count, exposure))
        if len(self.days) > self.window:
            self._count(*self.days.popleft(), -1)

    def _count(self, count: float, exposure: float, sign: int) -> None:
        self.events += sign * count
        self.exposure += sign * exposure
        self.squares += sign * count * count
        self.cross += sign * count * exposure
        self.exposure2 += sign * exposure * exposure

    def __len__(self) -> int:
        return len(self.days)

    @property
    def mean(self) -> float:
        """Procedures in a fully logged day."""
        return self.events / self.exposure if self.exposure > 0 else 0.0

    @property
    def spread(self) -> float:
        """Standard deviation of the log of the daily rate, drawn towards the prior."""
        mean = self.mean
        if not self.days or mean <= 0 or self.exposure2 <= 0:
            return PRIOR_SPREAD
        scatter = self.squares - 2 * mean * self.cross + mean * mean * self.exposure2
        # One degree of freedom is spent on the mean.
        scatter *= len(self.days) / max(1, len(self.days) - 1)
        own = (scatter - self.events) / (mean * mean * self.exposure2)
        own = log1p(own) if own > 0 else own  # from the rate's to its log's variance
        n = len(self.days)
        shrunk = (PRIOR_DAYS * PRIOR_SPREAD**2 + n * own) / (PRIOR_DAYS + n)
        return sqrt(min(max(shrunk, 0.0), MAX_SPREAD**2))

    @property
    def doubt(self) -> float:
        """Standard deviation of the log of ``mean``: Poisson error and correlated days."""
        if self.events <= 0:
            return 1.0
        carried = (1 + MEMORY) / (1 - MEMORY)
        return sqrt(1 / self.events + self.spread**2 * carried / max(1, len(self.days)))

    def learned(self) -> Days:
        """Return the child's ordinary days as learned so far."""
        return Days(max(self.mean, 1e-6), self.spread, MEMORY)
