"""One step in the making: the state so far, and what is to be done.

Inside a step the parts of the machine change a ``Turn``; outside nobody sees
one, so the step as a whole stays a function.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from voicelog.dialogue.actions import Action, Say, Volume
from voicelog.dialogue.phrasing import Phrasing
from voicelog.dialogue.says import Says
from voicelog.dialogue.setting import Setting
from voicelog.dialogue.state import State
from voicelog.dialogue.template import Template
from voicelog.entries import Heard


@dataclass
class Turn:
    """A step.

    ``spoken_at`` is when the words were said, which is earlier than ``at`` when
    they were only now made clear.
    """

    setting: Setting
    state: State
    at: float
    now: datetime
    heard: Heard = field(default_factory=Heard)
    spoken_at: float = 0.0
    actions: list[Action] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.spoken_at = self.at

    @property
    def says(self) -> Says:
        """Every reply."""
        return self.setting.replies.says

    @property
    def phrasing(self) -> Phrasing:
        """Values in words."""
        return self.setting.phrasing

    @property
    def night(self) -> bool:
        """Whether to be short and quiet."""
        return self.setting.is_night(self.now)

    def set(self, **changes: Any) -> None:
        """Change the state."""
        self.state = self.state.model_copy(update=changes)

    def do(self, action: Action) -> None:
        """Have something done."""
        self.actions.append(action)

    def say(self, reply: Template, **fields: str) -> None:
        """Speak a reply, short and quiet at night."""
        self.speak(reply.fill(fields, self.night))

    def say_clearly(self, reply: Template, **fields: str) -> None:
        """Speak a reply in full, at any hour: what must not be missed."""
        self.speak(reply.fill(fields), "normal")

    def speak(self, text: str, volume: Volume | None = None, urgent: bool = False) -> None:
        """Speak finished text."""
        if text:
            self.do(Say(text, volume or ("quiet" if self.night else "normal"), urgent))

    def fresh(self) -> int:
        """Return a number not used before."""
        number = self.state.next_id
        self.set(next_id=number + 1)
        return number
