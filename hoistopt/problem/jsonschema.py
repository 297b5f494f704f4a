"""The JSON Schema of a problem file, for editors that complete and check TOML."""

from __future__ import annotations

from typing import Any

from .problem import Problem

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_TITLES = {
    "Problem": "hoistopt problem file",
    "Motion": "Travel",
    "TableEntry": "Time between two stations",
    "Times": "Tables of times",
}
# What the pydantic models say in code, or leave to the reader of the code.
_DESCRIPTIONS = {
    ("Problem", None): "A single-hoist dip-process line and what is to run on it.",
    ("Problem", "name"): "Name of the line.",
    ("Problem", "length_unit"): "Unit of every position; a word for the labels.",
    ("Problem", "hoist"): "The one hoist of the line.",
    ("Problem", "station"): "The places on the track, in any order.",
    ("Problem", "recipe"): "The kinds of load, each with its stages in order.",
    ("Problem", "cycle"): "How many loads of each recipe one set brings into the line.",
    ("Problem", "carriers"): "How many carriers there are and how empty ones get back.",
    ("Problem", "times"): "Measured or published times; they replace worked-out ones.",
    ("Problem", "crossing"): "Baths over which a dripping load may not simply be carried.",
    ("Station", None): "A place on the track.",
    ("Station", "name"): "Name of the station; each one once.",
    ("Station", "kind"): "What the station is; a park is never part of a recipe.",
    ("Station", "capacity"): 'Carriers held at once; "unlimited" at load and unload stations only.',
    ("Stage", "station"): "The station, or a list of stations any of which may serve.",
    ("Recipe", "name"): "Name of the recipe; each one once.",
    ("Recipe", "stage"): "The stages in order; loading and unloading are not among them.",
    ("Cycle", None): "One set of loads; a cycle of degree k carries k sets.",
    ("Cycle", "mix"): "Loads of each recipe in one set.",
    ("Cycle", "order"): "Order in which the loads of a set enter; absent: chosen.",
    ("Times", None): "Tables of times between stations.",
    ("Times", "loaded"): "Start of lifting to end of lowering, without drip, which is added.",
    ("Times", "empty"): "Travel without a carrier.",
    ("TableEntry", "from"): "Station the move or travel starts at.",
    ("TableEntry", "to"): "Station the move or travel ends at.",
    ("TableEntry", "time"): "The time, in the unit of the file.",
    ("Crossing", None): "Baths over which loads lifted from certain stations may not pass.",
    ("Crossing", "from"): "Stations the load was lifted from.",
    ("Crossing", "over"): "Stations it would pass over on its way.",
    ("Crossing", "min_drip"): "Drip after which passing is allowed; absent: never.",
    ("Carriers", None): "How many carriers there are and how empty ones get back.",
    ("Carriers", "count"): "Carriers that circulate; absent: as many as it takes.",
    ("Carriers", "return"): "Whether empty carriers return outside the line or by hoist.",
    ("Carriers", "return_time"): "Time of the way back outside the line.",
}


def problem_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a problem file as it is written in TOML.

    It states names, types and ranges. Rules that tie keys together, such as a minimum
    above a maximum, are beyond it and are told when the file is loaded.
    """
    schema = Problem.model_json_schema(by_alias=True, mode="validation")
    parts = {"Problem": schema, **schema["$defs"]}
    for name, part in parts.items():
        part["title"] = _TITLES.get(name, name)
        part["description"] = _DESCRIPTIONS.get((name, None), part.get("description", ""))
        for key, value in part.get("properties", {}).items():
            _polish(value, _DESCRIPTIONS.get((name, key)))
    _one_or_several(parts["Stage"]["properties"]["station"])
    return {"$schema": DIALECT, **schema}


def _polish(value: dict[str, Any], description: str | None) -> None:
    """One key: no generated title, no null (TOML has none), a description."""
    value.pop("title", None)
    if description is not None:
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
    """A stage's station may be a single name as well as a list of them."""
    several = {key: value.pop(key) for key in ("type", "items", "minItems")}
    value["anyOf"] = [dict(several["items"]), several]
