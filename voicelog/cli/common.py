"""What the commands share: settings, the grammar, the engine, plain messages."""

import sys
from functools import cache
from pathlib import Path

from rich.console import Console

from voicelog import data
from voicelog.careplan import CarePlan, load_plan
from voicelog.errors import VoicelogError
from voicelog.grammar import Grammar, load
from voicelog.recognition.engines import EngineName, open_engine
from voicelog.recognition.protocol import Recogniser
from voicelog.settings import Settings, read_settings
from voicelog.voice.settings import VoiceSettings

CAUTION = (
    "voicelog keeps a record. It is not a medical device. "
    "Follow your care team and local rules first."
)

# What people say and name may hold brackets and colons: nothing in it is markup.
out = Console(highlight=False, soft_wrap=True, markup=False, emoji=False)
err = Console(stderr=True, highlight=False, soft_wrap=True, markup=False, emoji=False)


class GrammarUnreadableError(VoicelogError, OSError):
    """A file of the grammar cannot be opened."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(f"The grammar file {path} cannot be read ({why}): check its rights.")


class EngineLanguageError(VoicelogError, ValueError):
    """The engine asked for hears another language."""

    def __init__(self, language: str) -> None:
        super().__init__(
            f"The engine 'moonshine' hears English, not '{language}': choose the engine 'vosk'."
        )


@cache
def settings() -> Settings:
    """Return the user's choices, read once.

    Raises:
        SettingInvalidError, OwnFolderMissingError: a choice that cannot be.
    """
    chosen = read_settings()
    data.use("grammars", chosen.grammars)
    return chosen


def progress(line: str) -> None:
    """Tell about a long step, out of the way of the output."""
    sys.stderr.write(line + "\n")
    sys.stderr.flush()


def known_names(plan: CarePlan | None) -> list[str]:
    """Return what the caregivers call themselves."""
    return [form for person in plan.caregivers for form in person.said] if plan else []


def my_plan() -> CarePlan:
    """Return the care plan.

    Raises:
        PlanMissingError, PlanUnreadableError, PlanInvalidError: as ``load_plan``.
    """
    return _told(load_plan(settings().plan_path))


def plan_if_any() -> CarePlan | None:
    """Return the care plan, or None while there is no file."""
    path: Path = settings().plan_path
    return _told(load_plan(path)) if path.exists() else None


def _told(plan: CarePlan) -> CarePlan:
    """Say where the user's choice of a language goes before the plan's."""
    chosen, planned = settings().language, plan.home.language
    if chosen is not None and chosen != planned:
        err.print(
            f"VOICELOG_LANGUAGE is '{chosen}' and the care plan says '{planned}': "
            f"'{chosen}' is spoken now."
        )
    return plan


def language(plan: CarePlan | None = None) -> str:
    """Return the language that is spoken: the user's choice, else the plan's."""
    return settings().language or (plan.home.language if plan else "en")


def fetched_model() -> Path:
    """Return where ``voicelog model`` puts an English model that no package brought."""
    return settings().cache / "shipped"


def voice_settings(spoken: str) -> VoiceSettings:
    """Return how the replies sound in a language."""
    chosen = settings()
    return VoiceSettings(language=spoken, voice=chosen.voice, rate=chosen.voice_rate)


def grammar(plan: CarePlan | None = None, spoken: str | None = None) -> Grammar:
    """Return the grammar of a language, ``language(plan)`` unless given.

    Raises:
        GrammarMissingError, GrammarBrokenError, TemplateError, GrammarUnreadableError:
            it cannot be used.
    """
    chosen = spoken or language(plan)
    try:
        return load(chosen, names=known_names(plan), child=plan.child.name if plan else "")
    except VoicelogError:
        raise
    except OSError as error:
        raise GrammarUnreadableError(str(error.filename), error.strerror or "?") from error


def engine_name(spoken: str, name: EngineName | None = None) -> EngineName:
    """Return the engine for a language: the one asked for, the user's choice, or the usual one.

    Raises:
        EngineLanguageError: that engine hears another language.
    """
    wanted = name or settings().engine or ("moonshine" if spoken == "en" else "vosk")
    if wanted == "moonshine" and spoken != "en":
        raise EngineLanguageError(spoken)
    return wanted


def engine(rules: Grammar, name: EngineName | None = None) -> Recogniser:
    """Return the recogniser, its model ready.

    Args:
        rules: what it listens for; the language decides the engine where none is chosen.
        name: the engine, instead of the one in the settings.

    Raises:
        EngineLanguageError: the engine hears another language.
        ModelMissingError, ModelDamagedError, ...: as ``open_engine``.
    """
    chosen = settings()
    wanted = engine_name(rules.spec.language.language, name)
    model = chosen.model
    if model is None and wanted == "moonshine" and fetched_model().is_dir():
        model = fetched_model()
    return open_engine(wanted, rules, model=model, cache=chosen.cache, progress=progress)
