"""Read a sequencer table from JSON."""

from __future__ import annotations

import json

from ..table import SequencerTable
from .members import Unreadable, step_from, table_from, with_sum


def table_from_json(text: str) -> SequencerTable:
    """The table a JSON file holds.

    Raises
    ------
    Unreadable
        When it is no such file.
    """
    data = json.loads(text)
    if not isinstance(data, dict) or data.get("format") != "hoist sequencer table":
        raise Unreadable("not a sequencer table")
    (unit,) = data["units"]
    ending = f"_{unit}"
    steps = [
        step_from({key.removesuffix(ending): value for key, value in step.items()})
        for step in data["steps"]
    ]
    table = table_from(
        data["line"],
        unit,
        data[f"cycle_time_{unit}"] or 0,
        {entry["number"]: entry["name"] for entry in data["stations"]},
        {entry["number"]: entry["name"] for entry in data["recipes"]},
        steps,
        data.get("list_steps", 0),
        data.get(f"cycle_begins_{unit}") or 0,
    )
    return with_sum(table, data["check_sum"])
