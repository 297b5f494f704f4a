"""Turn pydantic's findings into the one sentence a user needs, in a file or in code."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from difflib import get_close_matches
from math import isfinite
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from ..base.errors import InputError, shortened

# What to say for pydantic's error types; {ctx} fields come from its context.
_EXPECTED = {
    "missing": "this key to be present",
    "string_type": "text in quotes",
    "string_too_short": "text that is not empty",
    "string_too_long": "text of at most {max_length} characters",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "greater_than_equal": "a whole number of at least {ge}",
    "less_than_equal": "a whole number of at most {le}",
    "literal_error": "one of {expected}",
    "tuple_type": "a list",
    "list_type": "a list",
    "dict_type": "a table of keys and values",
    "model_type": "a table of keys and values",
    "model_attributes_type": "a table of keys and values",
    "too_short": "a list of {min_length} or more {things}",
    "too_long": "at most {max_length} of them",
}

# What stands in lists of such a key; in code it may end in "s" or "_".
_LISTED = {
    **dict.fromkeys(("station", "from", "over", "unreachable"), "stations"),
    "stage": "stages",
    "recipe": "recipes",
    "hoist": "hoists",
}
_LENGTHS = ("position", "clearance", "from", "to")


def explain_validation(error: ValidationError, part: type[BaseModel], data: object) -> InputError:
    """The first finding of `error` about `data`, read from a file, as an :class:`InputError`."""
    finding = _misspelt_first(error.errors(include_url=False))
    location = _without_branches(finding["loc"], data)
    expected, value, way_out = _expected(finding), finding.get("input"), None
    if finding["type"] == "extra_forbidden":
        expected, value = "no such key here", None
        way_out = _meant(str(location[-1]), _keys(part, location[:-1]))
    elif finding["type"] == "missing":
        value, way_out = None, "`hoistopt template` shows every key."
    elif isinstance(value, bool):
        value = str(value).lower()  # as TOML writes it
    elif isinstance(value, dict | list | tuple):
        value = "[]" if value in ([], ()) else None
    else:
        value = _quoted(value)
    way_out = way_out or _way_out(finding, expected, location, data)
    return InputError(expected, field=describe_path(location, data), value=value, way_out=way_out)


def _way_out(
    finding: Mapping[str, Any], expected: str, location: tuple[int | str, ...], data: object
) -> str | None:
    """What to write instead, for a list that is too short or what is no number."""
    key, value = location[-1] if location else "", finding.get("input")
    if finding["type"] == "too_short":
        path = [part for part in location if isinstance(part, str)]
        if path in (["station"], ["recipe"], ["recipe", "stage"], ["hoist"]):
            return f"Write [[{'.'.join(path)}]] for each."
        return f'Name at least one, such as {key} = ["A"].'
    if key == "max" and _endless(value):
        return "Leave max out for no maximum."
    if not isinstance(value, str) or not re.match("a number(,|$)", expected):
        return None
    plain = value.strip()
    if re.fullmatch(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}", plain):
        return "Use a point for decimals and nothing between thousands."
    if re.fullmatch(r"[+-]?[0-9]{1,9}([.,][0-9]{1,9})?", plain):
        point = "with a point and " if "," in plain else ""
        return f"Write {plain.replace(',', '.')} as a number, {point}without quotes."
    if expected != "a number":
        return None  # that says it all
    unit = data.get("length_unit", "m") if isinstance(data, Mapping) else "m"
    lengths = f"; lengths are in {shortened(unit, 20)}" if key in _LENGTHS else ""
    return f"Write a plain number, without a unit and with a point for decimals{lengths}."


def _endless(value: object) -> bool:
    """Whether somebody meant that there is no limit."""
    if isinstance(value, str):
        return value.strip().casefold() in ("none", "no", "inf", "infinity", "unlimited", "", "-")
    return isinstance(value, float | Decimal) and not isfinite(value)


def explain_arguments(
    error: ValidationError, part: type[BaseModel], data: Mapping[str, Any]
) -> InputError:
    """The first finding of `error` about the arguments `data` given to `part` in code."""
    finding = error.errors(include_url=False)[0]
    location = _without_branches(finding["loc"], data)
    expected, value, way_out = _expected(finding), finding.get("input"), None
    if finding["type"] == "extra_forbidden":
        names = list(part.model_fields)
        meant = get_close_matches(str(location[-1]), names, n=1)
        expected, value = "no such argument", None
        if len(location) == 1:
            way_out = f"Did you mean {meant[0]}?" if meant else f"It takes {', '.join(names)}."
    elif finding["type"] == "missing":
        expected, value = "this argument to be given", None
    elif finding["type"] in ("model_type", "model_attributes_type"):
        kind = finding["ctx"]["class_name"]
        expected = f"{'an' if kind[0] in 'AEIOU' else 'a'} {kind}"
        value = _quoted(value)
    elif isinstance(value, dict | list | tuple):
        value = None
    else:
        value = _quoted(value)
    field = describe_path(location, data)
    return InputError(expected, field=_of(part, data, field), value=value, way_out=way_out)


def _of(part: type[BaseModel], data: Mapping[str, Any], field: str) -> str:
    """The field with the part it belongs to: ``stage "Rinse", max``."""
    kind = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", part.__name__).lower()
    if kind == "problem":
        return field
    keys = ("from_", "to") if "to" in data else ("name",) if data.get("name") else ("station",)
    names = [f'"{shortened(data[key], 60)}"' for key in keys if isinstance(data.get(key), str)]
    named = " ".join([kind, " to ".join(names)]).strip()
    return f"{named}, {field}" if field else named


def _misspelt_first(findings: Sequence[Any]) -> Mapping[str, Any]:
    """The first finding; where that misses a key, one of a strange key beside it is told first."""
    first: Mapping[str, Any] = findings[0]
    if first["type"] == "missing":
        for other in findings[1:]:
            if other["type"] == "extra_forbidden" and other["loc"][:-1] == first["loc"][:-1]:
                return other
    return first


def _meant(key: str, known: Sequence[str]) -> str:
    """The way out for a key that may not stand where it stands."""
    if meant := get_close_matches(key, known, n=1):
        return f'Did you mean "{meant[0]}"? `hoistopt template` shows every key.'
    listed = f" It may have {', '.join(known)}." if known else ""
    return f'Remove "{shortened(key, 60)}" or correct its spelling.{listed}'


def _keys(part: type[BaseModel], location: tuple[int | str, ...]) -> list[str]:
    """The keys that may stand in a file where `location` leads from `part`."""
    parts = [part]
    for key in location:
        if isinstance(key, str):
            parts = [
                inner
                for outer in parts
                for name, field in outer.model_fields.items()
                if (field.alias or name) == key
                for inner in _parts_in(field.annotation)
            ]
    return [field.alias or name for inner in parts for name, field in inner.model_fields.items()]


def _parts_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """The parts of a problem file within a type such as ``tuple[Station, ...] | None``."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _parts_in(inner)


def _expected(finding: Mapping[str, Any]) -> str:
    key = str(finding["loc"][-1]) if finding["loc"] else ""
    context = {
        "things": _LISTED.get(key.removesuffix("_").removesuffix("s"), "entries"),
        **finding.get("ctx", {}),
    }
    if finding["type"] == "value_error":
        return str(context.get("error", "")) or str(finding["msg"])
    return _EXPECTED.get(finding["type"], finding["msg"]).format(**context)


def _quoted(value: object) -> object:
    return f'"{value}"' if isinstance(value, str) else value


def _without_branches(location: tuple[int | str, ...], data: object) -> tuple[int | str, ...]:
    """The path without the union branches that pydantic tried; the user never wrote those."""
    branches = ("constrained", "literal[", "[key]")
    found: list[int | str] = []
    here: Any = data
    for part in location:
        inside = _within(here, part)
        named = isinstance(part, str) and (part == "int" or part.startswith(branches))
        if inside is None and named:
            continue
        found.append(part)
        here = inside
    return tuple(found)


def _within(here: Any, part: int | str) -> Any:
    """What stands under a key or number; None where there is nothing."""
    try:
        return here[part]
    except (KeyError, IndexError, TypeError):
        return None


def describe_path(location: tuple[int | str, ...], data: object) -> str:
    """A path such as ``("recipe", 0, "stage", 1, "max")`` in words a user recognises."""
    words: list[str] = []
    here: Any = data
    for part in location:
        if part == 0 and isinstance(here, Mapping | BaseModel):
            continue  # one thing where several may stand
        here = _within(here, part)
        if isinstance(part, int):
            number = f"{words.pop()} {part + 1}" if words else f"entry {part + 1}"
            name = here.get("name") if isinstance(here, dict) else getattr(here, "name", None)
            words.append(f'{number} ("{name}")' if isinstance(name, str) else number)
        else:
            words.append(str(part))
    return ", ".join(words)
