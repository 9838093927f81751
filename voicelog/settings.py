"""Where things are on this machine; environment variables start with ``VOICELOG_``."""

from pathlib import Path

from platformdirs import user_cache_path, user_data_path
from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict

from voicelog.recognition.engines import EngineName


class Settings(BaseSettings):
    """The user's choices.

    Args:
        home: folder of the plan and the journal.
        cache: folder of the prepared model and rendered speech.
        plan: the care plan.
        engine: which recogniser listens.
        model: a folder with the engine's model, where it is not in its package.
        language: of the grammar.
    """

    model_config = SettingsConfigDict(env_prefix="VOICELOG_")

    home: Path = Field(default_factory=lambda: user_data_path("voicelog"))
    cache: Path = Field(default_factory=lambda: user_cache_path("voicelog"))
    plan: Path | None = None
    engine: EngineName = "moonshine"
    model: Path | None = None
    language: str = "en"

    @property
    def plan_path(self) -> Path:
        """The care plan's file."""
        return self.plan or self.home / "plan.toml"

    @property
    def journal_path(self) -> Path:
        """The journal's file."""
        return self.home / "journal.sqlite"
