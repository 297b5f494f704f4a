"""Turn pydantic's findings into the one sentence a user needs."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from ..base.errors import InputError, shortened
from .line import MOST_SLOTS

# What to say for pydantic's error types; {ctx} fields come from its context.
_EXPECTED = {
    "missing": "this key to be present",
    "string_type": "text in quotes",
    "string_too_short": "text that is not empty",
    "string_too_long": "text of at most {max_length} characters",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "greater_than_equal": "a whole number of at least {ge}",
    "less_than_equal": "a whole number of at most {le}",
    "literal_error": "one of {expected}",
    "tuple_type": "a list",
    "list_type": "a list",
    "dict_type": "a table of keys and values",
    "model_type": "a table of keys and values",
    "model_attributes_type": "a table of keys and values",
    "too_short": "{min_length} or more of them",
    "too_long": "at most {max_length} of them",
}


def explain_validation(error: ValidationError, data: object) -> InputError:
    """The first finding of `error` about `data` as an :class:`InputError`."""
    findings = error.errors(include_url=False)
    finding = findings[0]
    kind, context = finding["type"], finding.get("ctx", {})
    location = _without_branches(finding["loc"])
    way_out: str | None = None
    value: object = finding.get("input")
    if kind == "extra_forbidden":
        expected = "no such key here"
        way_out = (
            f'Remove "{shortened(location[-1], 60)}" or correct its spelling; '
            "`hoistopt template` shows every key."
        )
        value = None
    elif kind == "value_error":
        expected = str(context.get("error", "")) or finding["msg"]
    else:
        expected = _EXPECTED.get(kind, finding["msg"]).format(**context)
    if location and location[-1] == "capacity" and kind != "extra_forbidden":
        expected = f'a whole number from 1 to {MOST_SLOTS}, or "unlimited"'
    if kind == "missing":
        way_out = "`hoistopt template` shows every key."
        value = None
    elif isinstance(value, bool):
        value = str(value).lower()  # as TOML writes it
    elif isinstance(value, str):
        value = f'"{value}"'
    elif isinstance(value, dict | list | tuple):
        value = None
    return InputError(expected, field=describe_path(location, data), value=value, way_out=way_out)


def _without_branches(location: tuple[int | str, ...]) -> tuple[int | str, ...]:
    # pydantic adds the union branch it tried; the user never wrote that.
    branches = ("constrained", "literal[", "[key]")
    return tuple(
        part
        for part in location
        if not (isinstance(part, str) and (part == "int" or part.startswith(branches)))
    )


def describe_path(location: tuple[int | str, ...], data: object) -> str:
    """A path such as ``("recipe", 0, "stage", 1, "max")`` in words a user recognises."""
    words: list[str] = []
    here: Any = data
    for part in location:
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            here = None
        if isinstance(part, int):
            number = f"{words.pop()} {part + 1}" if words else f"entry {part + 1}"
            name = here.get("name") if isinstance(here, dict) else None
            words.append(f'{number} ("{name}")' if isinstance(name, str) else number)
        else:
            words.append(str(part))
    return ", ".join(words)
