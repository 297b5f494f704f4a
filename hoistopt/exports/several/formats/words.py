"""Texts that every format of several hoists carries: cautions, rules, and what fields mean."""

from __future__ import annotations

from ....base.numbers.decimals import told
from ...formats.words import CAUTIONS, ONCE
from ..motion_table import SeveralTable
from .once_words import BEFORE_LIST, LIFTED_IN, begins_once, rules_once

APART = (
    "Several hoists share the track: these tables are no anti-collision system. Distance control "
    "and collision protection stay in the machine, at all times and in every mode.",
    "Before the start, and after any stop in which a hoist was moved by hand, power was off or "
    "the blocks were reset, the line must be empty and every hoist must stand where its first "
    "motion begins; or the function block is told by its preset which step comes next and which "
    "loads stand where and for how long, and every hoist stands where the block says. Check all "
    "of it at the line: what is told wrongly can lead hoists and loads into one another.",
)

RULES = {
    "order": "Each hoist makes its motions in order of their numbers, over and over, whether or "
    "not there is a load to carry: without one it goes the way of the move, at the speed of a "
    "loaded move, and neither lifts nor lowers. None is left out.",
    "start": "A motion starts at its planned start or, if it must wait then, as soon as it need "
    "not: for its hoist to stand where it begins, for its releases, for its load to have stood its "
    "minimum dwell, and for a free place where it is set down.",
    "releases": "A release names a motion of another hoist, so many cycles before. It must have "
    "arrived where it leads (a load need not have been lowered), or, to be followed, have left for "
    "so long. Before lift: until then the motion does not start. Before leave: the load may be "
    "lifted, but not carried away. Before pass: the hoist may go up to the place named, and stops "
    "there until then. Hoists that keep to this are never too close, whatever is late; one that "
    "follows is if the one in front stops on its way, so distance control must stop it then.",
    "due": "In cycle c of a hoist a step has a load if the step that feeds it set one down in "
    "cycle c minus boundaries of its own hoist. A step without a feeding step lifts a new load, "
    "if one is ready by its latest start.",
    "clock": "One clock counts for all hoists, from the start of the first motion. A motion that "
    "starts, or ends, later than its clock limit allows puts the clock back for all: by its "
    "lateness, but by no more than what every load in a tank can still stand longer, half of that "
    "where a motion starts; and after its lasting limit in any case down to that.",
    "first load": "On an empty line the clock stands until a load is ready.",
    "run out": "Lift no new loads any more; all else as usual, until the line is empty.",
    "alarm": "If a motion has not started by its alarm limit, some load exceeds its maximum dwell, "
    "then or later, unless the clock is put back. Raise the alarm as soon as a load in a tank can "
    "no longer keep its maximum; name its station and the step that lifts it.",
}

PRESET = (
    "To begin with loads in the line, call the first block with Reset and Preset, with NextStep, "
    "the step of the cycle that comes next, and for each load that stands in a tank the step that "
    "lifts it next and for how long it has stood. A motion under way by plan when that step "
    "starts counts as made, with its load set down. Where hoists stand otherwise, as after a stop "
    "in which some were late, say to each block its NextMotion as well, and as CyclesAhead its "
    "CycleNo less that of the hoist that makes NextStep, as they were shown last; what their "
    "release signals do not allow is refused. The blocks find with which motion each hoist goes "
    "on, so that its release signals are as if the line had run until then: MotionNo and "
    "StartPlace say it. Bring every hoist to its StartPlace; while OutOfPlace is TRUE of any, "
    "nothing begins. PresetOk: it has begun; the clock lets no load be lifted before its minimum "
    "dwell. PresetFault and PresetEntry say what cannot be, and nothing moves until the next "
    "Reset. What the blocks are not told they cannot know: loads on hoists, and where hoists "
    "really are."
)
"""How the function block begins with loads in the line."""

FIELDS = {
    "motion": "number of the motion of the hoist, in the order in which it makes them",
    "step": "number of the step of the cycle that it carries out; none: an empty travel",
    "start_place": "number of the place where it begins; of a step: the load is lifted there",
    "end_place": "number of the place where it ends; of a step: the load is set down there",
    "recipe": "number of the recipe; none of an empty travel",
    "load": "which load of the cycle",
    "stage": "stage of its recipe the load leaves, 0 at the load station",
    "fed_by_step": "step, of any hoist, that set down what this one lifts; none for a new load",
    "boundaries": "cycles between that step and this one, each counted by its own hoist",
    "feeds_step": "step, of any hoist, that lifts what this one sets down; none: the load leaves",
    "wait_source_dwell": "wait until the carrier has stood its minimum dwell",
    "wait_target_empty": "wait to lift until the place where it ends has room; if not, check "
    "before lowering",
    "planned_start": "start, from the start of the first motion of all hoists",
    "planned_leave": "when it begins to travel",
    "latest_start": "start up to which being late makes no other motion late",
    "alarm_limit": "start after which some load exceeds its maximum dwell, unless the clock is "
    "put back; none if no load does",
    "clock_limit": "start after which the clock is put back as far as no load in a tank is hurt",
    "lasting_limit": "start after which the clock is put back by the rest in any case; none if "
    "no load set down later exceeds its maximum dwell",
    "min_dwell": "minimum dwell where it begins",
    "max_dwell": "maximum dwell there; none if there is no limit",
    "drip": "pause above the place after lifting",
    "lasts": "time from the start until all of it is over",
    "busy": "least time of the hoist from the start to that of any other motion",
}
ATTRIBUTES = {
    "start_place": "start",
    "end_place": "place",
    "fed_by_step": "fed_by",
    "feeds_step": "feeds",
    "planned_start": "planned",
    "planned_leave": "leaves",
    "latest_start": "latest",
    "alarm_limit": "alarm",
    "min_dwell": "least",
    "max_dwell": "most",
}
"""Attribute of a motion by the name of its field, where the two differ."""
TIMES = (
    "planned_start", "planned_leave", "latest_start", "alarm_limit", "clock_limit",
    "lasting_limit", "min_dwell", "max_dwell", "drip", "lasts", "busy",
)  # fmt: skip
"""The fields that are times."""
OF_STEPS = ("step", "recipe", "load", "stage")
"""Fields that an empty travel has no value of."""
RELEASE_FIELDS = {
    "motion": "number of the motion of this hoist that waits",
    "before": "lift: to start; leave: to travel with its load; pass: to pass stop_place",
    "other_hoist": "number of the other hoist",
    "other_motion": "number of its motion",
    "cycles_before": "cycles before that of the motion that waits",
    "left_for": "none: the other must have arrived; else it must have left for so long",
    "stop_place": "number of the place up to which this hoist may go until then; none: none",
}


def fields_of(table: SeveralTable) -> dict[str, str]:
    """What the fields of a motion mean; one of them where there is a list only."""
    return {**FIELDS, "lifted_in": LIFTED_IN} if table.once else FIELDS


def rules_of(table: SeveralTable) -> dict[str, str]:
    """The rules that tables are to be run by."""
    return rules_once(table, RULES) if table.once else RULES


def cautions_of(table: SeveralTable) -> tuple[str, ...]:
    """The cautions that the tables call for."""
    apart = (APART[0], BEFORE_LIST) if table.once else APART
    more = (ONCE,) if table.once else ()
    following = table.following()
    if not following:
        return (*apart, *CAUTIONS, *more)
    named = ", ".join(f"{hoist.name} motion {motion.motion}" for hoist, motion, _ in following)
    return (
        *apart,
        f"Motions that follow another hoist before it has arrived: {named}. They keep their "
        "distance only if the one in front does not stop on its way.",
        *CAUTIONS,
        *more,
    )


def begins(table: SeveralTable) -> list[str]:
    """Where every hoist stands before the start, and what stands in the line, in sentences."""
    names = dict(table.stations) | place_names(table)
    found = [
        f"Hoist {hoist.number} ({hoist.name}) begins at place {hoist.rows[0].start} "
        f"({names[hoist.rows[0].start]})."
        for hoist in table.hoists
    ]
    told_of = [] if table.state is None else [hoist.name for hoist in table.state.each_hoist]
    for name in table.idle:
        if name in told_of:
            found.append(f"Hoist {name} makes no motion: it is to be kept where it stands.")
            continue
        found.append(
            f"Hoist {name} makes no motion: it stands at an end of the track, beyond all others, "
            "and is to be kept there."
        )
    return [*begins_once(table), *found] if table.once else found


def place_names(table: SeveralTable) -> dict[int, str]:
    """What the places that are no stations are called, by number."""
    return {number: f"position {told(at)} {table.length_unit}" for number, at in table.waiting}
