"""Texts that every format carries: cautions, rules, and what the fields mean."""

from __future__ import annotations

from ..analysis.figures.cautions import STANDING
from .table import SequencerTable

CAUTIONS = (
    STANDING,
    "Made from a schedule that was checked on a model of the line, not on the line itself.",
    "Latest starts and alarm limits are for one step late by itself; the dwell watchdogs of the "
    "machine decide.",
)

RULES = {
    "order": "Take the steps in order of their numbers and start each at its planned start or, "
    "if its wait condition is not met then, as soon as it is.",
    "due": "In cycle c a step is due if the step that feeds it was carried out in cycle c minus "
    "boundaries. In a station of several places another carrier may stand there without "
    "being due. A step without a feeding step lifts a new load and is due if one is ready.",
    "fill": "Skip a step whose due carrier is not there and keep its time: the steps after it "
    "do not move up, and the hoist stays where it is.",
    "run out": "Lift no new loads at the load station any more; all other steps as usual, until "
    "the line is empty.",
    "late": "A step that is late starts as soon as its wait condition is met; the steps after "
    "it keep their order and start when they are due. Up to its latest start a step may be late "
    "every time without making any other late.",
    "alarm": "If a step has not started by its alarm limit, raise the alarm and stop the cycle "
    "clock until it has: started later, it lets some load exceed its greatest dwell, then or "
    "in a later cycle.",
}

FIELDS = {
    "step": "number of the step, in order of planned start",
    "pick_station": "number of the station the carrier is lifted from",
    "place_station": "number of the station it is lowered into",
    "recipe": "number of the recipe",
    "load": "which load of the cycle",
    "stage": "stage of its recipe the load leaves, 0 at the load station",
    "fed_by_step": "step that set down what this one lifts; none for a new load",
    "boundaries": "cycles between that step and this one",
    "feeds_step": "step that lifts what this one sets down; none where the load leaves",
    "wait_source_dwell": "wait until the carrier has stood its least dwell at the pick station",
    "wait_target_empty": "wait until the place station has a free place; if not, check before "
    "lowering",
    "planned_start": "start of lifting, from the start of the cycle",
    "latest_start": "start up to which being late makes no other step late",
    "alarm_limit": "start after which some load exceeds its greatest dwell; none if no load does",
    "least_dwell": "least dwell at the pick station",
    "greatest_dwell": "greatest dwell at the pick station; none if there is no limit",
    "drip": "pause above the pick station after lifting",
}


def noted(table: SequencerTable) -> list[str]:
    """What the problem file notes of its line, as a line; none where it notes nothing."""
    return [f"NOTE. {table.note}"] if table.note else []


def legend(table: SequencerTable) -> list[str]:
    """What a reader of the table must know, apart from names: the unit and the rules."""
    unit = table.unit
    named = unit.label if unit.key == unit.label else f"{unit.key} = {unit.label}"
    return [
        f"Times are whole numbers of {unit.label}; {named} stands in every name of a time."
        if unit.key != unit.label
        else f"Times are whole numbers of {unit.label}.",
        *RULES.values(),
    ]
