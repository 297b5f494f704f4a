"""Texts that every format carries: cautions, rules, and what the fields mean."""

from __future__ import annotations

from collections.abc import Sequence

from ...analysis.figures.cautions import STANDING
from ...base.numbers.decimals import told
from ...base.text import listed, plural
from ...schedule import Between, LineState
from ..table import SequencerTable

CAUTIONS = (
    STANDING,
    "Made from a schedule that was checked on a model of the line, not on the line itself.",
    "Latest starts and alarm limits are for one step late by itself; the dwell watchdogs of the "
    "machine decide.",
)

ONCE = (
    "A list run once holds from the very state of the line that it begins with: make sure that "
    "the line is in that state."
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
    "first load": "On an empty line the cycle clock stands until a load is ready; its step is "
    "then the next one, at its planned start.",
    "late": "A step that is late starts as soon as its wait condition is met; the steps after "
    "it keep their order and start when they are due. Up to its latest start a step may be late "
    "every time without making any other late.",
    "clock": "A step that starts after its clock limit, or ends as late as that after its planned "
    "start and its move, puts the cycle clock back: by its lateness, but by no more than what "
    "every load in a tank can still stand longer, at its start by no more than half of that; and "
    "after its lasting limit in any case down to that, so that no load set down later exceeds its "
    "maximum dwell.",
    "alarm": "If a step has not started by its alarm limit, some load exceeds its maximum "
    "dwell, then or in a later cycle, unless the clock is put back. Raise the alarm as soon as "
    "a load that stands in a tank can no longer keep its maximum; name its station and the step "
    "that lifts it. A new load is not lifted any more after its step's alarm limit.",
}

LIST = (
    "The steps of the list are run once, in order, from the line as it stands when the list "
    "begins. A step whose carrier is not there is skipped and its time kept. A new load is waited "
    "for until the clock limit of its step, on an empty line for as long as it takes; then it is "
    "left out, and with it every later step of that load."
)
JOINING = (
    "After the last step of the list the steps of the cycle follow, over and over; their times "
    "count from when the cycle begins. A load that the list has set down is lifted by the step "
    "of the cycle, and in the cycle, that its last step in the list names."
)

FIELDS = {
    "step": "number of the step, in order of planned start; those of a list run once come first",
    "pick_station": "number of the station the carrier is lifted from",
    "place_station": "number of the station it is lowered into",
    "recipe": "number of the recipe",
    "load": "which load of the cycle",
    "stage": "stage of its recipe the load leaves, 0 at the load station",
    "fed_by_step": "step that set down what this one lifts; none for a new load; of a list run "
    "once its own number for a load that stands in the line when the list begins",
    "boundaries": "cycles between that step and this one",
    "feeds_step": "step that lifts what this one sets down; none where the load leaves",
    "wait_source_dwell": "wait until the carrier has stood its minimum dwell at the pick station",
    "wait_target_empty": "wait until the place station has a free place; if not, check before "
    "lowering",
    "planned_start": "start of lifting, from the start of the cycle, or of the list run once",
    "latest_start": "start up to which being late makes no other step late",
    "alarm_limit": "start after which some load exceeds its maximum dwell, unless the clock is "
    "put back; none if no load does",
    "clock_limit": "start after which the clock is put back as far as no load in a tank is hurt",
    "lasting_limit": "start after which the clock is put back by the rest in any case; none if "
    "no load set down later exceeds its maximum dwell",
    "min_dwell": "minimum dwell at the pick station",
    "max_dwell": "maximum dwell at the pick station; none if there is no limit",
    "drip": "pause above the pick station after lifting",
    "move": "time from lifting until the carrier is down",
    "busy": "least time of the hoist from this lifting to the next one, wherever that is",
    "approach": "longest empty travel to the pick station",
    "lifted_in": "of a list run once: cycle, from 0, in which a step of the cycle lifts what this "
    "one sets down",
    "place_rest": "least time since the last lifting at the place station, so that the place has "
    "rested when the carrier is set down; 0 if it need not rest. After a reset of the block every "
    "place counts as rested",
}

TIMES = (
    "planned_start",
    "latest_start",
    "alarm_limit",
    "clock_limit",
    "lasting_limit",
    "min_dwell",
    "max_dwell",
    "drip",
    "move",
    "busy",
    "approach",
    "place_rest",
)
"""The fields that are times."""


def noted(table: SequencerTable) -> list[str]:
    """What the problem file notes of its line, as a line; none where it notes nothing."""
    return noted_line(table.note)


def noted_line(note: str) -> list[str]:
    """A note as a line; none where there is none."""
    return [f"NOTE. {note}"] if note else []


def legend(table: SequencerTable) -> list[str]:
    """What a reader of the table must know, apart from names: the unit and the rules."""
    unit = table.unit
    named = unit.label if unit.key == unit.label else f"{unit.key} = {unit.label}"
    return [
        f"Times are whole numbers of {unit.label}; {named} stands in every name of a time."
        if unit.key != unit.label
        else f"Times are whole numbers of {unit.label}.",
        *rules_of(table).values(),
    ]


def begins_with(state: LineState, unit: str, lost: Sequence[int] = ()) -> list[str]:
    """What stands in the line when a list begins, and where the hoist is, in sentences."""
    if state.empty and not state.each_hoist:
        return ["The list begins with an empty line."]
    found = [
        f"When the list begins, load {entry.load} of {entry.recipe} has stood in {entry.station} "
        f"(stage {entry.stage}) for {_between(entry.stood, unit)}."
        for entry in state.standing
        if entry.recipe is not None
    ]
    for hoist in state.each_hoist:
        name = f"Hoist {hoist.name}" if hoist.name else "The hoist"
        at = hoist.station or f"position {told(hoist.position or 0)}"
        if hoist.out_of_service:
            found.append(f"{name} is out of service and stays at {at}.")
            continue
        carried = hoist.carries
        load = "" if carried is None else f" with load {carried.load} of {carried.recipe}"
        free = _between(hoist.free_in, unit)
        found.append(f"{name}{load} is free at {at} {free} after that.")
    if lost:
        found.append(
            f"LOST: {plural(len(lost), 'load')} {listed([str(load) for load in lost])} "
            f"{plural(len(lost), 'stands', 'stand')} longer than a maximum and must be "
            "marked and checked."
        )
    return found


def _between(span: Between, unit: str) -> str:
    """A time, or the two between which it lies."""
    if span.exact:
        return f"{told(span.least)} {unit}"
    return f"{told(span.least)} to {told(span.most)} {unit}"


def cautions_of(table: SequencerTable) -> tuple[str, ...]:
    """The cautions that a table calls for."""
    return (*CAUTIONS, ONCE) if table.once else CAUTIONS


def rules_of(table: SequencerTable) -> dict[str, str]:
    """The rules that a table is to be run by: of its cycle, of a list run once, or of both."""
    if not table.once:
        return RULES
    if table.steps:
        return {"list": f"{LIST} {JOINING}", **RULES}
    kept = ("order", "late", "alarm")
    return {"list": LIST, **{key: text for key, text in RULES.items() if key in kept}}
