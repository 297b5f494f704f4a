"""The members of the table's structures in structured text and PLCopen XML.

One list, in the order in which the check sum takes them. Times are in ms, whatever the
table's unit; what is not there is 0, and a flag of its own says so where 0 could be meant.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .table import SequencerStep, SequencerTable

Kind = Literal["INT", "DINT", "BOOL"]


@dataclass(frozen=True)
class Member:
    """A member of the structure of one step: `attribute` is the field of the table.

    `given` is set where the member only says whether there is a value.
    """

    name: str
    type: Kind
    attribute: str
    comment: str
    given: bool = False


HEAD = ("LastStep", "LastSlot", "CycleTime_ms", "ListSteps", "ListTime_ms")

MEMBERS = (
    Member("PickStation", "INT", "pick", "number of the station to lift from"),
    Member("PlaceStation", "INT", "place", "number of the station to lower into"),
    Member("Recipe", "INT", "recipe", "number of the recipe"),
    Member("Load", "INT", "load", "which load of the cycle"),
    Member("Stage", "INT", "stage", "stage the load leaves; 0: load station"),
    Member("FedByStep", "INT", "fed_by", "step that brought the carrier; 0: new load"),
    Member("Boundaries", "INT", "boundaries", "cycles since that step"),
    Member("FeedsStep", "INT", "feeds", "step that lifts it next; 0: it leaves the line"),
    Member("WaitSourceDwell", "BOOL", "wait_source_dwell", "wait for the minimum dwell"),
    Member("WaitTargetEmpty", "BOOL", "wait_target_empty",
           "wait for a free place; else check before lowering"),
    Member("PlannedStart_ms", "DINT", "start", "start of lifting, in the cycle"),
    Member("LatestStart_ms", "DINT", "latest", "up to then no other step is late"),
    Member("AlarmLimited", "BOOL", "alarm", "whether there is an alarm limit", given=True),
    Member("AlarmLimit_ms", "DINT", "alarm", "a new load is not lifted later"),
    Member("ClockLimit_ms", "DINT", "clock_limit", "later: clock goes back, if no load is hurt"),
    Member("LastingLimited", "BOOL", "lasting_limit", "whether there is one", given=True),
    Member("LastingLimit_ms", "DINT", "lasting_limit", "later: clock goes back in any case"),
    Member("MinDwell_ms", "DINT", "least", "at the pick station"),
    Member("DwellLimited", "BOOL", "most", "whether there is a maximum dwell", given=True),
    Member("MaxDwell_ms", "DINT", "most", "at the pick station"),
    Member("Drip_ms", "DINT", "drip", "pause above the pick station after lifting"),
    Member("Move_ms", "DINT", "move", "time from lifting until the carrier is down"),
    Member("Busy_ms", "DINT", "busy", "least time from this lifting to the next one"),
    Member("Approach_ms", "DINT", "approach", "longest empty travel to the pick station"),
    Member("LiftedIn", "INT", "lifted_in", "of the list: cycle in which FeedsStep lifts it"),
    Member("PlaceRest_ms", "DINT", "rest", "since the last lifting at PlaceStation, at least"),
)  # fmt: skip


def head_values(table: SequencerTable) -> dict[str, int]:
    """The members of the table besides its steps and its check sum, by name."""
    return {
        "LastStep": len(table.rows),
        "LastSlot": table.slots - 1,
        "CycleTime_ms": table.cycle * table.unit.milliseconds,
        "ListSteps": len(table.once),
        "ListTime_ms": table.joins * table.unit.milliseconds,
    }


def member_values(step: SequencerStep, milliseconds: int) -> dict[str, int]:
    """The members of a step by name; flags as 0 and 1, times in ms.

    Parameters
    ----------
    step : SequencerStep
    milliseconds : int
        Length of the table's unit.
    """
    found = {}
    for member in MEMBERS:
        value = getattr(step, member.attribute)
        if member.type == "BOOL":
            found[member.name] = int(value is not None if member.given else bool(value))
        else:
            per = milliseconds if member.type == "DINT" else 1
            found[member.name] = (value or 0) * per
    return found
