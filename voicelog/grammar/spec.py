"""The grammar files of one language, read and checked."""

import hashlib
from pathlib import Path
from typing import Literal, TypeVar

import yaml
from pydantic import Field, ValidationError, model_validator

from voicelog import data
from voicelog.entries import Frozen, Slots, SlotValue
from voicelog.errors import VoicelogError
from voicelog.plainyaml import read_yaml, what_is_wrong

Model = TypeVar("Model", bound=Frozen)
SlotType = Literal["choice", "integer", "decimal", "text", "names"]


class GrammarMissingError(VoicelogError, FileNotFoundError):
    """There is no folder for the language asked for."""

    def __init__(self, language: str, known: list[str]) -> None:
        super().__init__(
            f"There is no grammar for the language '{language}': choose one of {', '.join(known)}."
        )


class GrammarBrokenError(VoicelogError, ValueError):
    """A grammar file is not valid."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(
            f"The grammar file {path.name} is broken: {why}. Mend it or install again."
        )


class NumberSpec(Frozen):
    """The numbers an instrument can show: bounds inclusive, never a clinical range.

    ``without`` names groups of ``_numbers.yaml`` whose words are not used here; without
    ``whole`` only numbers with a fraction are.
    """

    low: float = Field(alias="from")
    high: float = Field(alias="to")
    decimals: int = Field(default=0, ge=0, le=3)
    without: tuple[str, ...] = ()
    whole: bool = True

    @property
    def key(self) -> str:
        """Name that equal ranges share."""
        sort = "number" if self.whole else "fraction"
        return " ".join((sort, f"{self.low} {self.high} {self.decimals}", *self.without))

    @model_validator(mode="after")
    def _ordered(self) -> "NumberSpec":
        if self.low > self.high:
            msg = f"the number range starts at {self.low} but ends at {self.high}"
            raise ValueError(msg)
        return self


class PhraseSpec(Frozen):
    """Ways to say one thing: with a value hole, or with the fixed value ``is``.

    A number ``n`` becomes ``n * scale + offset`` rounded to ``round`` decimals,
    which is how Fahrenheit or ounces are taken.  A phrase that ``leads`` ("change the")
    means nothing until a value follows; one that ``follows`` ("not five") nothing before one.
    """

    say: tuple[str, ...] = Field(min_length=1)
    fixed: SlotValue | None = Field(default=None, alias="is")
    number: NumberSpec | None = None
    scale: float = 1.0
    offset: float = 0.0
    round: int | None = None
    leads: bool = False
    follows: bool = False

    @property
    def hangs(self) -> bool:
        """Tell whether it means nothing without a value beside it."""
        return self.leads or self.follows

    @model_validator(mode="after")
    def _one_hole(self) -> "PhraseSpec":
        for template in self.say:
            holes = template.count("{")
            if holes > 1:
                msg = f"the phrase '{template}' has more than one value"
                raise ValueError(msg)
            valued = "{value}" in template or "{n}" in template
            if valued and self.fixed is not None:
                msg = f"the phrase '{template}' has a value and a fixed one"
                raise ValueError(msg)
            if "{n}" in template and self.number is None:
                msg = f"the phrase '{template}' has no number range"
                raise ValueError(msg)
        return self


class SlotFile(Frozen):
    """One file: a slot (or a family of phrases for it), its values and phrases."""

    slot: str
    type: SlotType
    values: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    phrases: tuple[PhraseSpec, ...] = ()
    asked: tuple[PhraseSpec, ...] = ()

    @model_validator(mode="after")
    def _says_something(self) -> "SlotFile":
        if not self.phrases and not self.asked:
            msg = "there is no phrase in it"
            raise ValueError(msg)
        return self


class IdleSpec(Frozen):
    """What is listened for between procedures without the wake phrase."""

    words: tuple[str, ...]


class LanguageFile(Frozen):
    """``_language.yaml``: what the whole language shares.

    Args:
        spacing: "free" where blanks are put at will, so that words are found anew.
        particles: words that follow a noun without a blank.
        questions: beginnings of a sentence that make it a question ("is his").
        of: words that say of what something is; where that is unknown, nothing is known.
        contractions: an ending and the word it stands for, after a word that announces a number.
        asides: templates of what is said and fills no slot ("no plugs", "i think").
        child: the word that a child's own name is read as, or none.

    """

    language: str
    spacing: Literal["fixed", "free"] = "fixed"
    particles: tuple[str, ...] = ()
    wake: tuple[str, ...] = Field(min_length=1)
    rules: dict[str, str] = Field(default_factory=dict)
    fillers: tuple[str, ...] = ()
    asides: tuple[str, ...] = ()
    blockers: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    never_merge: tuple[tuple[str, ...], ...] = ()
    idle: IdleSpec
    of: tuple[str, ...] = ()
    child: str = ""
    contractions: dict[str, str] = Field(default_factory=dict)
    written: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    spellings: dict[str, str] = Field(default_factory=dict)


class NumberShape(Frozen):
    """One way to say a number: words and classes, value = sum(weight x class) + plus."""

    say: str
    weights: tuple[float, ...] = ()
    plus: float = 0.0


class NumbersFile(Frozen):
    """``_numbers.yaml``: the number words, and the shapes they combine in.

    Args:
        scales: words of no class that still name a number ("hundred").
        doubtful: number words that are as often another word; they tell nothing alone.
        point: how the point of a decimal is said.
        hedges: said before a number and changing nothing ("about", "maybe").
        vague: said after a number and making it another ("thirty something").

    """

    scales: tuple[str, ...] = ()
    doubtful: tuple[str, ...] = ()
    classes: dict[str, dict[str, int]]
    whole: dict[str, tuple[NumberShape, ...]]
    decimal: tuple[NumberShape, ...] = ()
    point: tuple[str, ...] = ()
    hedges: tuple[str, ...] = ()
    vague: tuple[str, ...] = ()


class SkippingFile(Frozen):
    """``_skipping.yaml``: small words that may be left out; each line holds several.

    Args:
        harmless: between phrases.
        floating: inside a phrase, before its value ("heart rate is still one ten").
        doing: endings of verbs that float likewise ("bobbing around"), and the words that
            must follow one.
        verbs: words of number phrases that announce no number by themselves.
        differences: right before a number phrase they make it a change ("up one litre").
        beside: slot to the slots whose bare number, right beside it, is about it;
            "unknown" is any word of no phrase; right after a slot of "before_unknown" such a
            word is what was measured ("not much sleep"), and after one of "describing" what
            was described ("the brown bear"); one of "whole" goes on with no strange word
            before the next comma ("help me with the dishes"); these lists may name a slot's
            value ("action undo"); a bare value of a slot of "of" is nothing that
            there may be a bit of; one of "... face", right beside that slot, may be the
            child's ("crying and red"); after a word of "owners" a strange owner is another
            ("the doll's temperature"); one of "repeated" may have been given as often as a
            count after it says, and one of "owned" may belong to a strange word before it.
        leading: words that may stand first in a bare number ("for ten seconds").
        lasting: those of them that go on from before a comma ("coughing, lasted ten seconds").
        owning: words at the end of a number that tell what it is ("nine deep").
        hesitations: anywhere, also inside a number; they are taken out first.
        day_parts: parts of this day; beside a word of ``past`` they are another time.
        past: verbs of the past.
        habits: words of another time, whatever phrase they are part of ("used to be").
        mixed: an action, a slot or a slot's value to the slots whose value, said with it,
            may be its own or does not go with it ("cleaned the stoma, a bit red").
        elsewhere: an action to the slots' values that may be another slot's beside it: there
            both meanings are offered.
        tags: words that make a question of the sentence they end ("yellow, right").
        requests: actions that may be asked for with a question ("say again?").
        carried: a slot to the slots, each with its first word, that right after its bare
            number tell what it is, and the least it may be ("ninety four on two litres").
        rates: a slot to words that make something else of its number, if it has no unit
            ("feed at sixty").
        waits: a slot to the most that, said bare, is only a wait ("two secs").
        selves: the speaker, whose own state one of "own" may be ("i'm wheezy").
        turns: words that take back what was said, if strange ones follow ("but").
        trailing: first words of commands that may only go on ("stuff coming out").
        orders: beginnings of a sentence that tell another to do something ("do two passes").
        listed: bare words that are a value of these slots in a list, between commas or
            "and", right beside a slot of ``listing`` ("white, normal, moderate").
        joins: words that go on with a list, as a comma does.
        measured: a slot to those that there may be some "of" ("a bit of yellow"), unless a
            word of ``single`` stands before ("a bit of a fright").
        closing: small words that correct nothing at the end ("quite thick actually").
        counted: words that may repeat the phrase right before them ("three drops twice").
        reworded: last words of a value said in place of one before ("yellow i mean").
        unended: a slot to last words of its phrases that other words may go on with ("it
            smells of soap").
        links: between a strange word and a slot of "linked" they say it of that word
            ("the yoghurt is thick").
        aims: words that, before a strange one, tell what a phrase is for ("for the").

    """

    harmless: tuple[str, ...] = ()
    floating: tuple[str, ...] = ()
    doing: dict[str, str] = Field(default_factory=dict)
    verbs: tuple[str, ...] = ()
    differences: tuple[str, ...] = ()
    beside: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    leading: tuple[str, ...] = ()
    lasting: tuple[str, ...] = ()
    owning: tuple[str, ...] = ()
    hesitations: tuple[str, ...] = ()
    day_parts: tuple[str, ...] = ()
    past: tuple[str, ...] = ()
    habits: tuple[str, ...] = ()
    mixed: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    elsewhere: dict[str, dict[str, dict[str, Slots]]] = Field(default_factory=dict)
    tags: tuple[str, ...] = ()
    requests: tuple[str, ...] = ()
    waits: dict[str, int] = Field(default_factory=dict)
    carried: dict[str, dict[str, int]] = Field(default_factory=dict)
    rates: dict[str, frozenset[str]] = Field(default_factory=dict)
    aims: tuple[str, ...] = ()
    selves: tuple[str, ...] = ()
    turns: tuple[str, ...] = ()
    trailing: tuple[str, ...] = ()
    orders: tuple[str, ...] = ()
    links: tuple[str, ...] = ()
    listed: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    listing: tuple[str, ...] = ()
    joins: tuple[str, ...] = ()
    measured: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    single: tuple[str, ...] = ()
    closing: tuple[str, ...] = ()
    counted: tuple[str, ...] = ()
    reworded: tuple[str, ...] = ()
    unended: dict[str, tuple[str, ...]] = Field(default_factory=dict)

    @property
    def words(self) -> frozenset[str]:
        """The harmless words one by one."""
        return _one_by_one(self.harmless)

    @property
    def floats(self) -> frozenset[str]:
        """The floating words one by one."""
        return _one_by_one(self.floating)

    @property
    def idle(self) -> frozenset[str]:
        """The verbs one by one."""
        return _one_by_one(self.verbs)

    @property
    def breaths(self) -> frozenset[str]:
        """The hesitations one by one."""
        return _one_by_one(self.hesitations)


def _one_by_one(lines: tuple[str, ...]) -> frozenset[str]:
    return frozenset(word for line in lines for word in line.split())


class LanguageSpec(Frozen):
    """Everything in ``grammars/<language>`` that decides what is understood.

    Args:
        files: where ``language`` was read from, and then each of ``slots``.
    """

    language: LanguageFile
    numbers: NumbersFile
    skipping: SkippingFile
    slots: tuple[SlotFile, ...]
    version: str
    files: tuple[Path, ...]


def _read(path: Path, model: type[Model]) -> Model:
    try:
        return model.model_validate(read_yaml(path))
    except (yaml.YAMLError, UnicodeDecodeError, ValidationError) as error:
        raise GrammarBrokenError(path, what_is_wrong(error)) from error
    except FileNotFoundError as error:
        raise GrammarBrokenError(path, "it is missing") from error


def languages(root: Path | None = None) -> list[str]:
    """Return the languages that have a grammar folder."""
    base = root or data.folder("grammars")
    return sorted(path.parent.name for path in base.glob("*/_language.yaml"))


def load_spec(language: str, root: Path | None = None) -> LanguageSpec:
    """Read ``grammars/<language>``.

    Raises:
        GrammarMissingError: no such language.
        GrammarBrokenError: a file that is not valid, with the first reason.
    """
    base = root or data.folder("grammars")
    folder = base / language
    if not (folder / "_language.yaml").is_file():
        raise GrammarMissingError(language, languages(base))
    files = sorted(
        path
        for path in folder.glob("*.yaml")
        if not path.name.startswith("_") and not path.name.endswith(".test.yaml")
    )
    shared = [folder / f"_{name}.yaml" for name in ("language", "numbers", "skipping")]
    used = [*shared, *files]
    digest = hashlib.sha256()
    spec = (
        _read(used[0], LanguageFile),
        _read(used[1], NumbersFile),
        _read(used[2], SkippingFile),
        tuple(_read(path, SlotFile) for path in files),
    )
    for path in used:
        digest.update(path.read_bytes())
    version = f"{language}-{digest.hexdigest()[:12]}"
    return LanguageSpec(
        language=spec[0],
        numbers=spec[1],
        skipping=spec[2],
        slots=spec[3],
        version=version,
        files=(shared[0], *files),
    )
