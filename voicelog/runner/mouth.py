"""What speaks: the runner says sentences and tones to one of these."""

from dataclasses import dataclass, field
from typing import Literal, Protocol

Volume = Literal["normal", "quiet"]


class Mouth(Protocol):
    """Speaks and plays tones, one after another."""

    def say(self, text: str, volume: Volume = "normal", *, urgent: bool = False) -> None:
        """Speak ``text`` after what is being said, or at once when ``urgent``."""
        ...

    def tone(self, kind: str) -> None:
        """Play a short sound."""
        ...


@dataclass(slots=True)
class SilentMouth:
    """Keeps what would have been said: ("say", text) and ("tone", kind), in order."""

    said: list[tuple[str, str]] = field(default_factory=list)

    def say(self, text: str, volume: Volume = "normal", *, urgent: bool = False) -> None:
        """Keep a sentence."""
        self.said.append(("say", text))

    def tone(self, kind: str) -> None:
        """Keep a tone."""
        self.said.append(("tone", kind))
