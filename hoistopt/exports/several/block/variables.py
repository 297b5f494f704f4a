"""The variables of a hoist's block, of several on one track, and of what the blocks share."""

from __future__ import annotations

from dataclasses import dataclass

from ...block import LONGEST_MS, Array, Section, Variable

Kind = str | Array


@dataclass(frozen=True)
class Sizes:
    """What the blocks have room for, whatever the tables.

    Attributes
    ----------
    motions, releases, steps : int
        Most motions of a hoist, releases of a hoist, and steps of all hoists.
    slots : int
        Most cycle boundaries that a carrier stands through at one station.
    stations : tuple of (int, int)
        Least and greatest number of a station.
    hoists : tuple of (int, int)
        Least and greatest number of a hoist that has a table.
    """

    motions: int
    releases: int
    steps: int
    slots: int
    stations: tuple[int, int]
    hoists: tuple[int, int]


def shared(sizes: Sizes) -> list[tuple[str, Kind, str]]:
    """The members of the variable that the blocks of all hoists share."""
    standing = ((1, sizes.steps), (0, sizes.slots))

    def by_hoist(kind: str) -> Array:
        return Array(((1, sizes.hoists[1]),), kind)

    return [
        ("Begun", "BOOL", "the first block has been called"),
        ("Fresh", "BOOL", "all blocks start afresh in this scan"),
        ("Admit", "BOOL", "new loads are admitted"),
        ("Passed_ms", "DINT", "time since the scan before"),
        ("Step_ms", "DINT", "by how much the clock goes on in this scan"),
        ("Back_ms", "DINT", "by how much it is put back in the next one"),
        ("Drift", "BOOL", "the clock was put back within the last cycle time"),
        ("DriftFor_ms", "DINT", "time since then"),
        ("LostTime_ms", "DINT", "by how much in all since the reset"),
        ("LoadsInLine", "INT", "carriers between their first lifting and the end"),
        ("Arrived", by_hoist("DINT"), "release signal, by hoist: motions that have arrived"),
        ("Left", by_hoist("DINT"), "release signal, by hoist: motions that have left"),
        ("LeftFor_ms", by_hoist("DINT"), "and time since the last of them left"),
        ("Holding", by_hoist("BOOL"), "by hoist: it holds the clock of an empty line"),
        ("Reserve_ms", by_hoist("DINT"), "by hoist: what loads it lifts can still stand longer"),
        ("Standing", Array(standing, "BOOL"), "by step and cycle: what it set down stands"),
        ("Age", Array(standing, "DINT"), "and for how long"),
        ("Phase", "INT", "of a start with loads in the line; 0: none, or over"),
        ("Agreed", "INT", "blocks that are through with it"),
        ("PresetOk", "BOOL", "the line has begun with the loads named"),
        ("PresetFault", "INT", "what is wrong with them"),
        ("PresetEntry", "INT", "with which of them"),
        ("NextStep", "INT", "step that comes next"),
        ("BeginAt_ms", "DINT", "time at which the clock begins, in cycle 0"),
        ("Loads", "INT", "how many loads stand in the line"),
        ("LoadStep", Array(((1, sizes.steps),), "INT"), "step that lifts each of them next"),
        ("LoadAge_ms", Array(((1, sizes.steps),), "DINT"), "and for how long it has stood"),
        ("Placed", Array(((1, sizes.steps),), "BOOL"), "its cycle is found"),
        ("Named", Array((sizes.stations,), "BOOL"), "by station: a carrier there is accounted for"),
        ("NextCycle", Array(((1, sizes.steps),), "DINT"), "by step: cycle in which it comes next"),
    ]


def variables(sizes: Sizes, table_type: str, line_type: str) -> list[Variable]:
    """Every variable of a hoist's block, in order of declaration."""
    return [
        *_declared("input", _inputs(sizes)),
        Variable("table", "Table", table_type, "of this hoist; checked, never written to"),
        Variable("table", "Line", line_type, "what the blocks of all hoists share; one variable"),
        *_declared("output", _outputs(sizes)),
        *_constants(sizes),
        *_declared("local", _LOCALS),
    ]


def _declared(section: Section, found: list[tuple[str, Kind, str]]) -> list[Variable]:
    return [Variable(section, name, kind, comment) for name, kind, comment in found]


def _inputs(sizes: Sizes) -> list[tuple[str, Kind, str]]:
    stations = (sizes.stations,)
    return [
        (
            "Reset",
            "BOOL",
            "first hoist: all afresh, line empty, hoists at beginnings; or Preset",
        ),
        ("Elapsed_ms", "DINT", "first hoist: time since the last call, in ms, at least 0"),
        ("HoldClock", "BOOL", "first hoist: TRUE stops the clock of all"),
        ("AdmitLoads", "BOOL", "first hoist: FALSE lifts no new loads, the line runs out"),
        ("Enable", "BOOL", "FALSE asks for no motion of this hoist; time goes on"),
        ("HoistIdle", "BOOL", "hoist stands still, empty and ready"),
        ("HoistAt", "INT", "number of the place over which it stands still; else below 0"),
        ("MoveDone", "BOOL", "carrier is down; its rising edge ends a move"),
        ("CarrierRemoved", "BOOL", "rising edge: missing carrier was taken by hand"),
        ("CarrierAt", Array(stations, "BOOL"), "by station: a carrier stands there"),
        ("PlaceFreeAt", Array(stations, "BOOL"), "by station: there is a free place"),
        ("LoadReleasedAt", Array(stations, "INT"), "by load station: recipe of the load ready"),
        ("Preset", "BOOL", "first hoist, at a reset: loads stand in the line as told below"),
        ("NextStep", "INT", "step of the cycle that comes next"),
        ("NextMotion", "INT", "every hoist: its next motion; 0: by plan when NextStep comes next"),
        ("CyclesAhead", "INT", "and how many cycles later than NextStep it is counted, or -1"),
        ("PresetLoads", "INT", "how many loads stand in tanks"),
        ("PresetStep", Array(((1, sizes.steps),), "INT"), "step that lifts each of them next"),
        ("PresetAge_ms", Array(((1, sizes.steps),), "DINT"), "for how long it has stood"),
    ]


def _outputs(sizes: Sizes) -> list[tuple[str, Kind, str]]:
    stations = (sizes.stations,)
    return [
        ("StartMove", "BOOL", "carry out step StepNo; FALSE: done, or stand still till TRUE again"),
        ("GoTo", "BOOL", "travel without a load to EndPlace; FALSE: there, or stand still"),
        ("MayTravel", "BOOL", "the hoist may leave StartPlace; until then it may only lift"),
        ("MustStop", "BOOL", "it may go only up to StopAt for now, else to EndPlace"),
        ("StopAt", "INT", "that place"),
        ("MotionNo", "INT", "motion under way, or next"),
        ("StepNo", "INT", "its step; 0: an empty travel"),
        ("StartPlace", "INT", "where it begins"),
        ("EndPlace", "INT", "where it ends"),
        ("Drip_ms", "DINT", "its drip"),
        ("Clock_ms", "DINT", "time in the cycle of that motion; below 0 before it begins"),
        ("CycleNo", "DINT", "its cycle, from 0; after a preset it may be below"),
        ("Waits", "BOOL", "it waits for another hoist"),
        ("WaitsFor", "INT", "for which"),
        ("OutOfPlace", "BOOL", "the hoist does not stand where its next motion begins"),
        ("LoadsInLine", "INT", "carriers between their first lifting and the end"),
        ("Late", "BOOL", "the next motion is past its latest start"),
        ("Drift", "BOOL", "the clock was put back within the last cycle time"),
        ("LostTime_ms", "DINT", "by how much in all since the reset"),
        ("Alarm", "BOOL", "a load that this hoist lifts can no longer keep its maximum dwell"),
        ("AlarmStep", "INT", "step that lifts the first such load"),
        ("AlarmStation", "INT", "where it stands"),
        ("AlarmStepAt", Array(stations, "INT"), "by station: step that lifts such a load"),
        ("Overstay", "BOOL", "a load that this hoist lifts exceeds its maximum dwell"),
        ("OverstayAt", Array(stations, "BOOL"), "by station"),
        ("DwellAt_ms", Array(stations, "DINT"), "by station: dwell of the longest there"),
        ("CarrierMissing", "BOOL", "the carrier of the next step is not there"),
        ("PlaceBlocked", "BOOL", "the next step waits for a place to set down"),
        ("RunOutDone", "BOOL", "no load is admitted and none is left"),
        ("ListDone", "BOOL", "all motions of a list that is run once are over"),
        ("ListMissed", "INT", "loads of a list that did not come in time and are left out"),
        ("PresetOk", "BOOL", "the line has begun with the loads of the preset"),
        (
            "PresetFault",
            "INT",
            "0: none; 1 number of loads, 2 step, 3 cannot stand there now,"
            " 4 age, 5 no carrier there, 6 a carrier that is not named, 7 NextStep, 8 NextMotion",
        ),
        ("PresetEntry", "INT", "the load meant, of 8 the hoist; 0: none"),
        ("TableFault", "INT", "0: none; 1 sizes, 2 a number, 3 check sum, 4 changed while running"),
    ]


def _constants(sizes: Sizes) -> list[Variable]:
    declared = [
        ("MaxMotion", "INT", "most motions of a table", sizes.motions),
        ("MaxRelease", "INT", "most releases of a table", sizes.releases),
        ("MaxStep", "INT", "most steps of all hoists", sizes.steps),
        ("MaxSlot", "INT", "most cycle boundaries a carrier stands through", sizes.slots),
        ("FirstStation", "INT", "least number of a station", sizes.stations[0]),
        ("LastStation", "INT", "greatest number of a station", sizes.stations[1]),
        ("FirstHoist", "INT", "hoist whose block is called first in a scan", sizes.hoists[0]),
        ("LastHoist", "INT", "greatest number of a hoist", sizes.hoists[1]),
        ("LongestTime", "DINT", "no time is counted further, in ms", LONGEST_MS),
    ]
    return [
        Variable("constant", name, kind, comment, str(value))
        for name, kind, comment, value in declared
    ]


_LOCALS: list[tuple[str, Kind, str]] = [
    ("Current", "INT", "motion under way, or next"),
    ("Slot", "INT", "its cycle, counted round"),
    ("State", "INT", "0 none under way, 1 a move, 2 a travel without a load, 3 list over"),
    ("Gone", "BOOL", "it has left where it began"),
    ("Come", "BOOL", "it has arrived"),
    ("MovingFor", "DINT", "for how long it is under way"),
    ("DoneBefore", "BOOL", "MoveDone at the last call"),
    ("RemovedBefore", "BOOL", "CarrierRemoved at the last call"),
    ("JustDone", "BOOL", "a motion has ended in this call"),
    ("Ready", "BOOL", "a motion starts"),
    ("Has", "BOOL", "there is a load for the next step"),
    ("Here", "BOOL", "the hoist stands ready where it begins"),
    ("LiftFree", "BOOL", "no other hoist keeps it from starting"),
    ("WayFree", "BOOL", "nor from travelling"),
    ("Met", "BOOL", "a release has come"),
    ("Needed", "DINT", "motions that must have arrived or left"),
    ("Feeder", "INT", "step that feeds the next one"),
    ("FedSlot", "INT", "cycle of that step, counted round"),
    ("Lateness", "DINT", "how late a motion starts or ends"),
    ("Allowed", "DINT", "how late it may be"),
    ("Back", "DINT", "by how much the clock is to be put back"),
    ("Reserve", "DINT", "what every load in a tank can still stand longer"),
    ("Room", "DINT", "what one of them can"),
    ("Earliest", "DINT", "when the hoist is free at the earliest"),
    ("Lift", "DINT", "when a load is lifted"),
    ("Offset", "DINT", "start of a later cycle"),
    ("Stood", "DINT", "dwell so far"),
    ("GoOn", "BOOL", "one motion on, with loads in the line"),
    ("GoBack", "BOOL", "one motion back"),
    ("LoadNo", "INT", "counts loads named"),
    ("Oldest", "INT", "the oldest of those of a step"),
    ("Due", "DINT", "how many loads of a step can stand"),
    ("Spare", "DINT", "how many more than are named"),
    ("SlotNo", "INT", "counts cycles"),
    ("AheadSlot", "INT", "cycle of a feeding step, looking ahead"),
    ("StationNo", "INT", "counts stations"),
    ("HoistNo", "INT", "counts hoists"),
    ("RowNo", "INT", "counts motions, or steps"),
    ("ItemNo", "INT", "counts releases"),
    ("Count", "INT", "counts rounds"),
    ("FieldNo", "INT", "counts members"),
    ("LastField", "INT", "how many there are"),
    ("Sum", "DINT", "check sum"),
    ("Value", "DINT", "a number of the table"),
    ("Least", "DINT", "the least it may be"),
    ("Most", "DINT", "the most it may be"),
    ("KnownSum", "DINT", "check sum when the table was checked"),
    ("KnownMotions", "INT", "LastMotion then"),
    ("KnownReleases", "INT", "LastRelease then"),
    ("KnownCycle", "DINT", "cycle time then"),
]
