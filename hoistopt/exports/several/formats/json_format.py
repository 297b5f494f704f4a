"""The tables of several hoists as JSON."""

from __future__ import annotations

from typing import Any

from ....base.numbers.decimals import told
from ....base.text import json_text
from ....show.tables.jsonfile import versions
from ..members import check_sum
from ..motion_table import HoistMotion, HoistTable, SeveralTable
from .words import (
    ATTRIBUTES,
    OF_STEPS,
    RELEASE_FIELDS,
    TIMES,
    begins,
    cautions_of,
    fields_of,
    rules_of,
)

FORMAT = "hoist sequencer tables"
VERSION = 2


def several_json(table: SeveralTable) -> str:
    """The file; every key of a time ends in its unit, null means none."""
    unit = table.unit.key
    return json_text(
        {
            "format": FORMAT,
            "format_version": VERSION,
            "cautions": list(cautions_of(table)),
            "line": table.line,
            "note": table.note,
            "units": {unit: f"whole numbers of {table.unit.label}"},
            f"cycle_time_{unit}": table.cycle if table.steps else None,
            **(
                {f"cycle_begins_{unit}": table.joins if table.steps else None} if table.once else {}
            ),
            "rules": rules_of(table),
            "fields": {
                "motions": {_key(name, unit): text for name, text in fields_of(table).items()},
                "releases": {_key(name, unit): text for name, text in RELEASE_FIELDS.items()},
            },
            "begins": begins(table),
            "hoists_that_make_no_motion": list(table.idle),
            "stations": [{"number": number, "name": name} for number, name in table.stations],
            "other_places": [
                {"number": number, "position": told(at)} for number, at in table.waiting
            ],
            "length_unit": table.length_unit,
            "recipes": [
                {"number": number, "name": name}
                for number, name in enumerate(table.recipes, start=1)
            ],
            "hoists": [_hoist(table, hoist) for hoist in table.hoists],
            "made_by": versions(),
        }
    )


def _hoist(table: SeveralTable, hoist: HoistTable) -> dict[str, Any]:
    return {
        "number": hoist.number,
        "name": hoist.name,
        **({"list_motions": len(hoist.once)} if table.once else {}),
        "check_sum": check_sum(table, hoist),
        "motions": [_motion(motion, table) for motion in hoist.rows],
    }


def _motion(motion: HoistMotion, table: SeveralTable) -> dict[str, Any]:
    found: dict[str, Any] = {}
    unit = table.unit.key
    for name in fields_of(table):
        value = getattr(motion, ATTRIBUTES.get(name, name))
        found[_key(name, unit)] = None if name in OF_STEPS and not motion.step else value
    found["releases"] = [
        {
            "before": one.before,
            "other_hoist": one.hoist,
            "other_motion": one.motion,
            "cycles_before": one.cycles,
            f"left_for_{unit}": one.left,
            "stop_place": one.stop,
        }
        for one in motion.releases
    ]
    return found


def _key(name: str, unit: str) -> str:
    return f"{name}_{unit}" if name in TIMES or name == "left_for" else name
