"""Where things are on this machine; environment variables start with ``VOICELOG_``."""

from pathlib import Path

from platformdirs import user_cache_path, user_data_path
from pydantic import Field, ValidationError
from pydantic_settings import BaseSettings, SettingsConfigDict

from voicelog.errors import VoicelogError
from voicelog.recognition.engines import EngineName

PREFIX = "VOICELOG_"


class SettingInvalidError(VoicelogError, ValueError):
    """A setting has a value that cannot be."""

    def __init__(self, name: str, given: object, why: str) -> None:
        super().__init__(f"The setting {name} is '{given}', but {why}: change or unset it.")


class Settings(BaseSettings):
    """The user's choices.

    Args:
        home: folder of the plan and the journal.
        cache: folder of the prepared model and rendered speech.
        plan: the care plan, where it is not in ``home``.
        grammars: a folder of one's own instead of the grammars that ship.
        engine: which recogniser listens; None picks the one for the language.
        model: a folder with the engine's model, where it is not in its package.
        language: of what is said; None takes the care plan's.
        voice: the speech engine's own name of a voice; None takes the language's.
        voice_rate: words a minute that are spoken.
    """

    model_config = SettingsConfigDict(env_prefix=PREFIX, env_ignore_empty=True)

    home: Path = Field(default_factory=lambda: user_data_path("voicelog"))
    cache: Path = Field(default_factory=lambda: user_cache_path("voicelog"))
    plan: Path | None = None
    grammars: Path | None = None
    engine: EngineName | None = None
    model: Path | None = None
    language: str | None = Field(default=None, pattern=r"^[a-z]{2}$")
    voice: str | None = None
    voice_rate: int = Field(default=160, ge=80, le=400)

    @property
    def plan_path(self) -> Path:
        """The care plan's file."""
        return self.plan or self.home / "plan.toml"

    @property
    def journal_path(self) -> Path:
        """The journal's file."""
        return self.home / "journal.sqlite"


def read_settings() -> Settings:
    """Return the user's choices.

    Raises:
        SettingInvalidError: a value that cannot be, with the first one's reason.
    """
    try:
        return Settings()
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        name = f"{PREFIX}{str(first['loc'][0]).upper()}"
        why = first["msg"][:1].lower() + first["msg"][1:]
        raise SettingInvalidError(name, first["input"], why) from error
