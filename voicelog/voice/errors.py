"""Why nothing can be said."""

from pathlib import Path

from voicelog.errors import VoicelogError


class VoiceError(VoicelogError):
    """The voice cannot speak; one subclass for each reason."""


class VoiceMissingError(VoiceError, FileNotFoundError):
    """No speech engine can be started."""

    def __init__(self, reason: str) -> None:
        super().__init__(
            f"There is no voice on this computer ({reason}): "
            "on Linux run 'sudo apt install libespeak-ng1'."
        )


class VoiceUnknownError(VoiceError, LookupError):
    """The engine has no voice of that name."""

    def __init__(self, voice: str) -> None:
        super().__init__(f"There is no voice called '{voice}': choose another in the settings.")


class VoiceFailedError(VoiceError, RuntimeError):
    """The engine gave no usable sound for a sentence."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"The voice did not speak ({reason}): look at the screen instead.")


class SpeechNotWrittenError(VoiceError, OSError):
    """A spoken sentence cannot be written to its file."""

    def __init__(self, folder: Path, reason: str) -> None:
        super().__init__(
            f"The spoken replies cannot be written to {folder} ({reason}): choose another folder."
        )
