"""The members of a hoist's table in programs, in the order in which the check sum takes them.

Times are in ms, whatever the table's unit; what is not there is 0, and a flag of its own says so
where 0 could be meant.
"""

from __future__ import annotations

from ..checksum import sum_of
from ..members import Member
from .motion_table import HoistMotion, HoistTable, Release, SeveralTable

HEAD = ("Hoist", "LastMotion", "LastRelease", "LastStep", "LastSlot", "CycleTime_ms")

MOTION = (
    Member("Step", "INT", "step", "step of the cycle that it carries out; 0: empty travel"),
    Member("StartPlace", "INT", "start", "place where it begins; of a step: load is lifted there"),
    Member("EndPlace", "INT", "place", "place where it ends; of a step: load is set down there"),
    Member("Recipe", "INT", "recipe", "number of the recipe"),
    Member("Load", "INT", "load", "load of the cycle"),
    Member("Stage", "INT", "stage", "stage that the load leaves; 0: it is new"),
    Member("FedByStep", "INT", "fed_by", "step that sets down what it lifts; 0: a new load"),
    Member("Boundaries", "INT", "boundaries", "cycles between that step and this one"),
    Member("FeedsStep", "INT", "feeds", "step that lifts it next; 0: it leaves the line"),
    Member("WaitSourceDwell", "BOOL", "wait_source_dwell", "wait for the minimum dwell"),
    Member("WaitTargetEmpty", "BOOL", "wait_target_empty", "wait for a free place to lift"),
    Member("PlannedStart_ms", "DINT", "planned", "start, in the cycle of this hoist"),
    Member("PlannedLeave_ms", "DINT", "leaves", "when it begins to travel"),
    Member("LatestStart_ms", "DINT", "latest", "up to then no other motion is late"),
    Member("AlarmLimited", "BOOL", "alarm", "whether there is an alarm limit", given=True),
    Member("AlarmLimit_ms", "DINT", "alarm", "a new load is not lifted later"),
    Member("ClockLimit_ms", "DINT", "clock_limit", "later: clock goes back, if no load is hurt"),
    Member("LastingLimited", "BOOL", "lasting_limit", "whether there is one", given=True),
    Member("LastingLimit_ms", "DINT", "lasting_limit", "later: clock goes back in any case"),
    Member("MinDwell_ms", "DINT", "least", "where it starts"),
    Member("DwellLimited", "BOOL", "most", "whether there is a maximum dwell", given=True),
    Member("MaxDwell_ms", "DINT", "most", "where it starts"),
    Member("Drip_ms", "DINT", "drip", "pause above the start place after lifting"),
    Member("Lasts_ms", "DINT", "lasts", "time from the start until all of it is over"),
    Member("Busy_ms", "DINT", "busy", "least time from the start to that of any other one"),
)

RELEASE = (
    Member("Motion", "INT", "", "motion of this hoist that waits"),
    Member("Before", "INT", "", "1: to start, 2: to travel with its load, 3: to pass StopAt"),
    Member("Hoist", "INT", "", "number of the other hoist"),
    Member("HoistMotion", "INT", "", "its motion"),
    Member("HoistMotions", "INT", "", "how many motions a cycle of it has"),
    Member("CyclesBefore", "INT", "", "cycles before that of the motion that waits"),
    Member("Follow", "BOOL", "", "TRUE: the other must have left, FALSE: have arrived"),
    Member("LeftFor_ms", "DINT", "", "if so: for how long"),
    Member("StopAt", "INT", "", "place up to which this hoist may go until then; 0: none"),
)
STAGES = {"lift": 1, "leave": 2, "pass": 3}


def head_values(table: SeveralTable, hoist: HoistTable) -> dict[str, int]:
    """The members of a hoist's table besides its rows and its check sum, by name."""
    return {
        "Hoist": hoist.number,
        "LastMotion": len(hoist.rows),
        "LastRelease": sum(len(motion.releases) for motion in hoist.rows),
        "LastStep": len(table.once) + len(table.steps),
        "LastSlot": table.slots - 1,
        "CycleTime_ms": table.cycle * table.unit.milliseconds,
    }


def motion_values(motion: HoistMotion, milliseconds: int) -> dict[str, int]:
    """The members of a motion by name; flags as 0 and 1, times in ms."""
    found = {}
    for member in MOTION:
        value = getattr(motion, member.attribute)
        if member.type == "BOOL":
            found[member.name] = int(value is not None if member.given else bool(value))
        else:
            found[member.name] = (value or 0) * (milliseconds if member.type == "DINT" else 1)
    return found


def releases_of(
    table: SeveralTable, hoist: HoistTable
) -> list[tuple[HoistMotion, Release, dict[str, int]]]:
    """Every release signal that a hoist waits for, with its members by name."""
    counts = {other.number: len(other.motions) for other in table.hoists}
    return [
        (
            motion,
            release,
            {
                "Motion": motion.motion,
                "Before": STAGES[release.before],
                "Hoist": release.hoist,
                "HoistMotion": release.motion,
                "HoistMotions": counts[release.hoist],
                "CyclesBefore": release.cycles,
                "Follow": int(release.left is not None),
                "LeftFor_ms": (release.left or 0) * table.unit.milliseconds,
                "StopAt": release.stop or 0,
            },
        )
        for motion in hoist.rows
        for release in motion.releases
    ]


def check_sum(table: SeveralTable, hoist: HoistTable) -> int:
    """The check sum of a hoist's table; see :mod:`hoistopt.exports.checksum`."""
    head = head_values(table, hoist)
    numbers = [head[name] for name in HEAD]
    for motion in hoist.rows:
        numbers += motion_values(motion, table.unit.milliseconds).values()
    for _, _, values in releases_of(table, hoist):
        numbers += values.values()
    if table.once:
        numbers += [len(hoist.once), table.joins * table.unit.milliseconds]
        numbers += [motion.lifted_in for motion in hoist.once]
    return sum_of(numbers)
