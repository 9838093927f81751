"""What a reason may look at: the learner, the moment, and the last hours' columns."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from voicelog.baseline.calendar import HOUR
from voicelog.baseline.learner import Learner
from voicelog.baseline.normal import Normal
from voicelog.baseline.runlength import Floats
from voicelog.baseline.settings import Settings


@dataclass(frozen=True)
class View:
    """A learner at a moment; ``now`` is aware."""

    learner: Learner
    now: datetime

    @property
    def normal(self) -> Normal:
        """The child's normal."""
        return self.learner.normal

    @property
    def settings(self) -> Settings:
        """The plan's numbers."""
        return self.learner.settings

    @property
    def today(self) -> int:
        """Ordinal of the local day."""
        return self.now.astimezone(self.settings.zone).toordinal()

    def recent(self, name: str, hours: float = 24.0) -> Floats:
        """Return a column of the procedures begun in the last hours, oldest first."""
        rows = self.learner.history.procedures
        start, end = self.now.timestamp() - hours * HOUR, self.now.timestamp()
        low, high = rows.column("start").searchsorted([start, end], side="right")
        return rows.column(name)[low:high]

    def last(self, name: str, n: int, hours: float = 72.0) -> Floats:
        """Return the last ``n`` logged values of a column within some hours, NaN left out."""
        values = self.recent(name, hours)
        return values[~np.isnan(values)][-n:]

    def in_morning(self, hours: float = 24.0) -> Floats:
        """Return 1 for each recent procedure in the first hours after waking, else 0."""
        since_waking = (self.recent("hour", hours) - self.settings.wake_hour) % 24
        return (since_waking < self.settings.morning_hours).astype(float)

    def whose(self, limit: str) -> str:
        """Return "plan" or "published" for one of the settings' limits."""
        return "published" if limit in self.settings.published else "plan"
