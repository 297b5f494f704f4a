"""The JSON Schema of a problem file, for editors that complete and check TOML."""

from __future__ import annotations

import inspect
import re
from typing import Any

from . import like
from .part import Part
from .statement import Statement

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_TITLES = {
    "Problem": "hoistopt problem file",
    "Motion": "Travel",
    "TableEntry": "Time between two stations",
    "Times": "Tables of times",
}
# In a docstring by the numpydoc standard: "name, name : type", then indented text.
_PARAMETER = re.compile(r"^(\w+(?:, \w+)*) : .*\n((?:    .*(?:\n|\Z))+)", re.MULTILINE)


def problem_schema(problem: type[Statement], *, short_forms: bool = True) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a problem file as it is written in TOML.

    Parameters
    ----------
    problem : type
        :class:`hoistopt.Problem`, whose docstring describes the keys.
    short_forms : bool
        Whether to include what stands for something longer, as a recipe that is like another.

    It states names, types and ranges. Rules that tie keys together, such as a minimum
    above a maximum, are beyond it and are told when the file is loaded.
    """
    schema = problem.model_json_schema(by_alias=True, mode="validation")
    parts = {"Problem": schema, **schema["$defs"]}
    kinds: dict[str, type[Part]] = {kind.__name__: kind for kind in Part.__subclasses__()}
    kinds["Problem"] = problem
    for name, part in parts.items():
        part["title"] = _TITLES.get(name, name)
        part["description"] = (inspect.getdoc(kinds[name]) or "").partition("\n")[0]
        described = _described(kinds[name])
        for key, value in part.get("properties", {}).items():
            _polish(value, described[key])
    for key in ("station", "hoist"):
        _one_or_several(parts["Stage"]["properties"][key])
    _one_or_several(parts["Scattering"]["properties"]["times"])
    _one_or_several(parts["Problem"]["properties"]["hoist"])
    for part in ("Problem", "Stage"):
        _number_or_table(parts[part]["properties"]["margin"], parts["Margin"])
    if short_forms:
        _likes(parts)
    return {"$schema": DIALECT, **schema}


def _likes(parts: dict[str, Any]) -> None:
    """A recipe may be like another, with changes, in place of stages of its own."""
    recipe, stage = parts["Recipe"], parts["Stage"]
    which = {"anyOf": [{"type": "integer", "minimum": 1}, {"type": "string"}]}
    parts["Problem"]["$defs"]["Change"] = {
        "title": "Change",
        "description": "A stage of the recipe that another is like, changed.",
        "type": "object",
        "additionalProperties": False,
        "required": ["stage"],
        "properties": {
            "stage": {**which, "description": like.WHICH},
            "left_out": {"type": "boolean", "default": False, "description": like.LEFT_OUT},
            **stage["properties"],
        },
    }
    recipe["properties"]["like"] = {"type": "string", "description": like.LIKE}
    recipe["properties"]["change"] = {
        "type": "array",
        "items": {"$ref": "#/$defs/Change"},
        "description": like.CHANGES,
    }
    recipe["required"].remove("stage")
    recipe["oneOf"] = [{"required": ["stage"]}, {"required": ["like"]}]
    recipe["dependentRequired"] = {"change": ["like"]}


def _described(kind: type[Part]) -> dict[str, str]:
    """What the docstring says of each parameter, by its key in a file."""
    text = inspect.getdoc(kind) or ""
    parameters = text.partition("Parameters\n----------\n")[2].partition("\n\n")[0]
    found: dict[str, str] = {}
    for names, block in _PARAMETER.findall(parameters):
        for name in names.split(", "):
            key = kind.model_fields[name].alias or name
            found[key] = " ".join(block.split())
    return found


def _polish(value: dict[str, Any], description: str) -> None:
    """One key: no generated title, no null (TOML has none), a description."""
    value.pop("title", None)
    value["description"] = description
    if value.get("default", ...) is None:
        del value["default"]
    choices = [choice for choice in value.get("anyOf", ()) if choice.get("type") != "null"]
    if len(choices) == 1:
        del value["anyOf"]
        value.update(choices[0])
    elif choices:
        value["anyOf"] = choices


def _one_or_several(value: dict[str, Any]) -> None:
    """What may be one thing as well as a list of such, as the station of a stage."""
    keys = ("type", "items", "minItems", "maxItems")
    several = {key: value.pop(key) for key in keys if key in value}
    value["anyOf"] = [dict(several["items"]), several]


def _number_or_table(value: dict[str, Any], table: dict[str, Any]) -> None:
    """A margin may be one time for slack and float."""
    value["anyOf"] = [*table["properties"]["slack"]["anyOf"], {"$ref": value.pop("$ref")}]
