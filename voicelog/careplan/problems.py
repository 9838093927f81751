"""Turn the first thing wrong with a plan into one plain sentence."""

from difflib import get_close_matches
from types import UnionType
from typing import Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from voicelog.careplan.plan import CarePlan

_WANTED = {
    "int": "give a whole number without quotes",
    "float": "give a number without quotes",
    "finite_number": "give a number",
    "bool": "give true or false",
    "string_type": "put it in double quotes",
    "string_too_short": "write at least one letter",
    "string_too_long": "make it shorter",
    "date": "give a day such as 2025-03-09",
    "time": 'give a time such as "07:00"',
    "dict_type": "make it a section with names and numbers",
    "model_type": "make it a section in square brackets",
    "tuple_type": "make it a list in square brackets",
}


def first_problem(error: ValidationError) -> str:
    """Return what is wrong, naming the key, its value and the fix."""
    details = error.errors(include_url=False)[0]
    keys = [str(part + 1) if isinstance(part, int) else part for part in details["loc"]]
    key = ".".join(keys)
    if details["type"] == "missing":
        return f"{key} is missing: add it{_help(details['loc'])}."
    if details["type"] == "extra_forbidden":
        return f"{key} is not a known key: {_suggest(details['loc'])}"
    if details["type"] == "value_error":
        return _own_words(key, details)
    return f"{key} is {_shown(details['input'])}: {_fix(details)}{_help(details['loc'])}."


def _own_words(key: str, details: ErrorDetails) -> str:
    """Our validators write the sentence; a field's one starts with the fix."""
    said = str(details["ctx"]["error"])
    if isinstance(details["input"], dict) or not key:
        return f"{key}: {said}" if key else said
    return f"{key} is {_shown(details['input'])}: {said}"


def _fix(details: ErrorDetails) -> str:
    kind, ctx = details["type"], details.get("ctx", {})
    field = _field(details["loc"])
    if kind.startswith(("greater_than", "less_than")) and field is not None:
        bounds = _bounds(field)
        return f"give a number from {bounds[0]:g} to {bounds[1]:g}"
    if kind == "literal_error":
        return f"give one of {ctx['expected']}"
    if kind == "string_pattern_mismatch":
        example = _example(field)
        return f"write it like {example}" if example else "use plain letters"
    for start, words in _WANTED.items():
        if kind.startswith(start):
            return words
    return details["msg"].lower()


def _shown(value: object) -> str:
    text = f'"{value}"' if isinstance(value, str) else str(value)
    text = text.lower() if isinstance(value, bool) else text
    return text if len(text) <= 60 else f"{text[:57]}..."


def _help(loc: tuple[int | str, ...]) -> str:
    field = _field(loc)
    if field is None or not field.description:
        return ""
    return f" ({field.description.rstrip('.')})"


def _example(field: FieldInfo | None) -> str:
    if field is None:
        return ""
    if field.examples:
        return _shown(field.examples[0])
    return _shown(field.default) if isinstance(field.default, str) else ""


def _bounds(field: FieldInfo) -> tuple[float, float]:
    found: dict[str, float] = {}
    for rule in [*field.metadata, *_inner_metadata(field.annotation)]:
        found |= {side: getattr(rule, side) for side in ("ge", "le") if hasattr(rule, side)}
    return found["ge"], found["le"]


def _inner_metadata(annotation: Any) -> list[Any]:
    """Find the rules of a named type inside ``X | None`` or a mapping."""
    rules = list(getattr(annotation, "__metadata__", ()))
    for rule in list(rules):
        rules += getattr(rule, "metadata", [])
    for part in get_args(annotation):
        if not isinstance(part, (str, int, float)):
            rules += _inner_metadata(part)
    return rules


def _field(loc: tuple[int | str, ...]) -> FieldInfo | None:
    """Find the field an error is about; the deepest one the path reaches."""
    model: type[BaseModel] | None = CarePlan
    field = None
    for part in loc:
        if model is None or not isinstance(part, str) or part not in model.model_fields:
            continue
        field = model.model_fields[part]
        model = _model_in(field.annotation)
    return field


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) in (tuple, Union, UnionType):
        for part in get_args(annotation):
            if (found := _model_in(part)) is not None:
                return found
    return None


def _suggest(loc: tuple[int | str, ...]) -> str:
    """Point to the key that was likely meant, or to the ones there are."""
    model: type[BaseModel] = CarePlan
    for part in loc[:-1]:
        if isinstance(part, str) and part in model.model_fields:
            model = _model_in(model.model_fields[part].annotation) or model
    known = list(model.model_fields)
    close = get_close_matches(str(loc[-1]), known, n=1)
    return f"did you mean {close[0]}?" if close else f"use one of {', '.join(known)}."
