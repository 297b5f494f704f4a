"""The sequencer table as JSON."""

from __future__ import annotations

from typing import Any

from ...base.text import json_text
from ...show.tables.jsonfile import versions
from ..checksum import check_sum
from ..table import SequencerStep, SequencerTable
from .words import FIELDS, TIMES, cautions_of, rules_of

FORMAT = "hoist sequencer table"
VERSION = 3


def sequencer_json(table: SequencerTable) -> str:
    """The file; every key of a time ends in its unit, null means none."""
    return json_text(sequencer_data(table))


def sequencer_data(table: SequencerTable) -> dict[str, Any]:
    """What the JSON file of a sequencer table holds, as plain data."""
    unit = table.unit
    return {
        "format": FORMAT,
        "format_version": VERSION,
        "cautions": list(cautions_of(table)),
        "line": table.line,
        "note": table.note,
        "units": {unit.key: f"whole numbers of {unit.label}"},
        f"cycle_time_{unit.key}": table.cycle if table.steps else None,
        **_of_the_list(table),
        "check_sum": check_sum(table),
        "rules": dict(rules_of(table)),
        "fields": {_key(name, unit.key): text for name, text in FIELDS.items()},
        "stations": [{"number": number, "name": name} for number, name in table.stations],
        "recipes": [
            {"number": number, "name": name} for number, name in enumerate(table.recipes, start=1)
        ],
        "steps": [_step(step, unit.key) for step in table.rows],
        "made_by": versions(),
    }


def _of_the_list(table: SequencerTable) -> dict[str, Any]:
    """How many steps are run once, when the cycle begins after them, and what stands before."""
    if not table.once:
        return {}
    return {
        "list_steps": len(table.once),
        f"cycle_begins_{table.unit.key}": table.joins if table.steps else None,
        "list_begins_with": list(table.begins),
    }


def _key(name: str, unit: str) -> str:
    return f"{name}_{unit}" if name in TIMES else name


def _step(step: SequencerStep, unit: str) -> dict[str, Any]:
    return {
        "step": step.step,
        "pick_station": step.pick,
        "place_station": step.place,
        "recipe": step.recipe,
        "load": step.load,
        "stage": step.stage,
        "fed_by_step": step.fed_by,
        "boundaries": step.boundaries,
        "feeds_step": step.feeds,
        "wait_source_dwell": step.wait_source_dwell,
        "wait_target_empty": step.wait_target_empty,
        f"planned_start_{unit}": step.start,
        f"latest_start_{unit}": step.latest,
        f"alarm_limit_{unit}": step.alarm,
        f"clock_limit_{unit}": step.clock_limit,
        f"lasting_limit_{unit}": step.lasting_limit,
        f"min_dwell_{unit}": step.least,
        f"max_dwell_{unit}": step.most,
        f"drip_{unit}": step.drip,
        f"move_{unit}": step.move,
        f"busy_{unit}": step.busy,
        f"approach_{unit}": step.approach,
        "lifted_in": step.lifted_in,
        f"place_rest_{unit}": step.rest,
    }
