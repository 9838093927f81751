"""What stays the same for a whole night: the plan, its limits, the words, the manners."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

from voicelog.careplan import CarePlan
from voicelog.dialogue.manners import Manners
from voicelog.dialogue.phrasing import Phrasing
from voicelog.dialogue.replies import Replies
from voicelog.limits import Limit


@dataclass(frozen=True)
class Setting:
    """What a dialogue is made with; the only place here that knows the plan's layout."""

    plan: CarePlan
    limits: Mapping[str, Limit]
    replies: Replies
    manners: Manners = field(default_factory=Manners)

    @cached_property
    def phrasing(self) -> Phrasing:
        """The words, ready to use."""
        return Phrasing(self.replies)

    @property
    def pass_limit(self) -> float | None:
        """Seconds a pass may take, or None where nobody set a limit."""
        limit = self.limits.get("pass_seconds")
        return limit.high.value if limit and limit.high else None

    @property
    def depth(self) -> float | None:
        """The measured depth in centimetres."""
        return self.plan.catheter.depth_cm

    @property
    def emergency_number(self) -> str | None:
        """The number the plan says to call."""
        return self.plan.phones.emergency

    @property
    def ask_missing(self) -> bool:
        """Whether to ask for what was not said."""
        return self.plan.settings.ask_missing

    @property
    def read_back(self) -> bool:
        """Whether to say what was saved, or only that it was."""
        return self.plan.settings.read_back

    @property
    def caregivers(self) -> tuple[str, ...]:
        """Names of those who speak to the log."""
        return tuple(person.name for person in self.plan.caregivers)

    def caregiver(self, said: str) -> str | None:
        """Return the name in the plan of who calls themselves ``said``, or None."""
        wanted = said.strip().lower()
        for person in self.plan.caregivers:
            if wanted in person.said:
                return person.name
        return None

    def is_night(self, now: datetime) -> bool:
        """Tell whether others sleep; a night may go past midnight."""
        start, end, at = self.plan.home.night_start, self.plan.home.night_end, now.time()
        return start <= at < end if start < end else at >= start or at < end
