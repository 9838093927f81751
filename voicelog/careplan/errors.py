"""Why a care plan could not be used, in one sentence each."""

from voicelog.errors import VoicelogError


class PlanMissingError(VoicelogError, FileNotFoundError):
    """There is no care plan file at the given place."""

    def __init__(self, place: str) -> None:
        super().__init__(
            f"There is no care plan at {place}: make one with 'voicelog plan new' first."
        )


class PlanUnreadableError(VoicelogError, ValueError):
    """The file is there but is not TOML, or cannot be opened."""

    def __init__(self, place: str, why: str) -> None:
        super().__init__(f"The care plan {place} cannot be read: {why}")


class PlanInvalidError(VoicelogError, ValueError):
    """The file reads well, but a value in it cannot be right."""

    def __init__(self, place: str, problem: str) -> None:
        super().__init__(f"In the care plan {place}, {problem}")
