"""The function block's variables, as data that structured text and XML both write."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Section = Literal["input", "table", "output", "constant", "local"]

LONGEST_MS = 400_000_000
"""Longest time, in ms: the sum of five still fits 32 bits with their sign."""


@dataclass(frozen=True)
class Array:
    """Bounds of the dimensions, and the type of the elements."""

    bounds: tuple[tuple[int, int], ...]
    of: str


@dataclass(frozen=True)
class Variable:
    """A variable of the block; `initial` is None where the type's own default will do."""

    section: Section
    name: str
    type: str | Array
    comment: str
    initial: str | None = None


@dataclass(frozen=True)
class Sizes:
    """What the block has room for, whatever the table.

    Attributes
    ----------
    steps : int
        Most steps of a cycle, and most loads of a preset.
    slots : int
        Most cycle boundaries that a carrier stands through at one station.
    stations : tuple of (int, int)
        Least and greatest number of a station.
    """

    steps: int
    slots: int
    stations: tuple[int, int]


def variables(sizes: Sizes, table_type: str) -> list[Variable]:
    """Every variable of the block, in order of declaration."""
    return [
        *_inputs(sizes),
        Variable("table", "Table", table_type, "steps and cycle time; checked, never written to"),
        *_outputs(sizes),
        *_constants(sizes),
        *_locals(sizes),
    ]


def _inputs(sizes: Sizes) -> list[Variable]:
    def by_station(kind: str) -> Array:
        return Array((sizes.stations,), kind)

    def by_load(kind: str) -> Array:
        return Array(((1, sizes.steps),), kind)

    declared: list[tuple[str, str | Array, str]] = [
        ("Reset", "BOOL", "start afresh, with an empty line or the preset; the first call does"),
        ("Preset", "BOOL", "with Reset: loads stand in the line as listed below"),
        ("Enable", "BOOL", "FALSE starts no step and asks for no motion; time goes on"),
        ("HoldClock", "BOOL", "TRUE stops the clock: the plan waits for the line"),
        ("AdmitLoads", "BOOL", "FALSE lifts no new loads: the line runs out"),
        ("Elapsed_ms", "DINT", "time since the last call, in ms, at least 0"),
        ("HoistIdle", "BOOL", "hoist stands still, empty and ready"),
        ("HoistAt", "INT", "number of the station it stands at"),
        ("MoveDone", "BOOL", "carrier is down; its rising edge ends a step"),
        ("CarrierRemoved", "BOOL", "rising edge: missing carrier was taken by hand"),
        ("CarrierAt", by_station("BOOL"), "by station: a carrier stands there"),
        ("PlaceFreeAt", by_station("BOOL"), "by station: there is a free place"),
        ("LoadReleasedAt", by_station("INT"), "by load station: recipe of the load ready; 0: none"),
        ("PresetLoads", "INT", "preset: how many carriers; at a station the oldest first"),
        ("PresetStation", by_load("INT"), "preset: where each stands"),
        ("PresetRecipe", by_load("INT"), "preset: its recipe"),
        ("PresetStage", by_load("INT"), "preset: its stage"),
        ("PresetAge_ms", by_load("DINT"), "preset: for how long it has stood there"),
    ]  # fmt: skip
    return [Variable("input", name, kind, comment) for name, kind, comment in declared]


def _outputs(sizes: Sizes) -> list[Variable]:
    def by_station(kind: str) -> Array:
        return Array((sizes.stations,), kind)

    declared: list[tuple[str, str | Array, str]] = [
        ("StartMove", "BOOL", "carry out step StepNo; FALSE: done, or stand still till TRUE again"),
        ("StepNo", "INT", "step last started"),
        ("PickStation", "INT", "its pick station"),
        ("PlaceStation", "INT", "its place station"),
        ("Drip_ms", "DINT", "its drip"),
        ("GoToPick", "BOOL", "travel empty to the next pick station"),
        ("NextStep", "INT", "next step"),
        ("NextPick", "INT", "its pick station"),
        ("Clock_ms", "DINT", "time in the cycle of the next step; below 0 before it begins"),
        ("CycleNo", "DINT", "cycle of the next step, from 0"),
        ("LoadsInLine", "INT", "carriers between their first lifting and the end"),
        ("Late", "BOOL", "the next step is past its latest start"),
        ("Drift", "BOOL", "the clock was put back within the last cycle time"),
        ("LostTime_ms", "DINT", "by how much in all since the reset"),
        ("Alarm", "BOOL", "some load can no longer keep its maximum dwell"),
        ("AlarmStep", "INT", "step that lifts the first such load"),
        ("AlarmStation", "INT", "where it stands"),
        ("AlarmStepAt", by_station("INT"), "by station: step that lifts such a load; 0: none"),
        ("Overstay", "BOOL", "a load exceeds its maximum dwell"),
        ("OverstayAt", by_station("BOOL"), "by station"),
        ("DwellAt_ms", by_station("DINT"), "by station: dwell of the carrier longest there"),
        ("CarrierMissing", "BOOL", "the carrier of NextStep is not there"),
        ("PlaceBlocked", "BOOL", "NextStep waits for its place station, or for its rest"),
        ("RunOutDone", "BOOL", "no load is admitted and none is left"),
        ("InList", "BOOL", "the list run once is under way"),
        ("ListMissed", "INT", "new loads of the list that were left out"),
        ("TableFault", "INT", "0: none; 1 sizes, 2 a number, 3 check sum, 4 changed while running"),
        ("PresetOk", "BOOL", "the preset made sense; the line runs from it"),
        ("PresetFault", "INT", "0: none; 1 how many, 2 no such stage there, 3 one too many, "
         "4 age, 5 no carrier there, 6 carrier not listed"),
        ("PresetEntry", "INT", "which load of the preset; 0: all"),
    ]  # fmt: skip
    return [Variable("output", name, kind, comment) for name, kind, comment in declared]


def _constants(sizes: Sizes) -> list[Variable]:
    low, high = sizes.stations
    declared = [
        ("MaxStep", "INT", "most steps of a table", sizes.steps),
        ("MaxSlot", "INT", "most cycle boundaries a carrier stands through", sizes.slots),
        ("FirstStation", "INT", "least number of a station", low),
        ("LastStation", "INT", "greatest number of a station", high),
        ("LongestTime", "DINT", "no time is counted further, in ms", LONGEST_MS),
    ]
    return [
        Variable("constant", name, kind, comment, str(value))
        for name, kind, comment, value in declared
    ]


def _locals(sizes: Sizes) -> list[Variable]:
    slots = ((1, sizes.steps), (0, sizes.slots))
    declared: list[tuple[str, str | Array, str]] = [
        ("SinceLift", Array((sizes.stations,), "DINT"), "by station: since a carrier was lifted"),
        ("Standing", Array(slots, "BOOL"), "by step and cycle: what it set down stands"),
        ("Age", Array(slots, "DINT"), "and for how long"),
        ("StartLate", Array((slots[0],), "DINT"), "by step: how late it started last"),
        ("EndLate", Array((slots[0],), "DINT"), "and how late it ended"),
        ("StartUsual", Array((slots[0],), "DINT"), "how late it started twice running"),
        ("EndUsual", Array(((0, sizes.steps),), "DINT"), "and how late it ended twice running"),
        ("Begun", "BOOL", "the block has been called"),
        ("Fresh", "BOOL", "start afresh in this call"),
        ("Passed", "DINT", "time since the last call, within limits"),
        ("Current", "INT", "next step to start or skip"),
        ("CurrentSlot", "INT", "its cycle, counted round"),
        ("Committed", "BOOL", "its new load is taken"),
        ("InTime", "BOOL", "the hoist can be there in time for it"),
        ("Deadline", "DINT", "how long it is waited for"),
        ("Due", "BOOL", "its carrier is there"),
        ("Skip", "BOOL", "it is left out"),
        ("Ready", "BOOL", "it starts"),
        ("LineEmpty", "BOOL", "no carrier is in the line"),
        ("Moving", "BOOL", "the hoist carries out a step"),
        ("MovingFor", "DINT", "for how long"),
        ("MoveClock", "DINT", "time since its planned start, by the clock"),
        ("Moved", "INT", "that step"),
        ("DownRow", "INT", "step that its load counts as set down by"),
        ("DownSlot", "INT", "and the cycle, counted round"),
        ("OnItsWay", "BOOL", "a load hangs at the hoist"),
        ("DoneBefore", "BOOL", "MoveDone at the last call"),
        ("JustDone", "BOOL", "a step has ended in this call"),
        ("RemovedBefore", "BOOL", "CarrierRemoved at the last call"),
        ("Pick", "INT", "pick station of the next step"),
        ("Feeder", "INT", "step that feeds it"),
        ("FedSlot", "INT", "cycle of that step, counted round"),
        ("AheadSlot", "INT", "the same, looking ahead"),
        ("Earliest", "DINT", "when the hoist is free at the earliest"),
        ("Lift", "DINT", "when a load is lifted"),
        ("Offset", "DINT", "start of a later cycle"),
        ("Stood", "DINT", "dwell so far"),
        ("Reserve", "DINT", "what every load can still stand longer than planned"),
        ("Spare", "DINT", "the same, if the hoist is as late for it as before"),
        ("Room", "DINT", "what a load can still stand longer"),
        ("LateRow", "INT", "step that starts or ends"),
        ("Lateness", "DINT", "how late"),
        ("Allowed", "DINT", "how late it may be"),
        ("Back", "DINT", "by how much the clock is put back"),
        ("DriftFor", "DINT", "time since then"),
        ("Wrapped", "BOOL", "the next step is one of the next cycle"),
        ("Count", "INT", "counts rounds"),
        ("Rounds", "INT", "how many there are"),
        ("RowNo", "INT", "counts steps"),
        ("SlotNo", "INT", "counts cycles"),
        ("StationNo", "INT", "counts stations"),
        ("LoadNo", "INT", "counts loads of the preset"),
        ("FieldNo", "INT", "counts members of a step"),
        ("LastField", "INT", "how many there are"),
        ("NextRow", "INT", "another step"),
        ("CheckRow", "INT", "step to be checked next"),
        ("CheckTo", "INT", "last one to be checked in this call"),
        ("Sum", "DINT", "check sum so far"),
        ("Value", "DINT", "a number of the table"),
        ("Least", "DINT", "the least it may be"),
        ("Most", "DINT", "the most it may be"),
        ("KnownSteps", "INT", "LastStep when the table was checked"),
        ("KnownSlots", "INT", "LastSlot then"),
        ("KnownCycle", "DINT", "cycle time then"),
        ("KnownList", "INT", "ListSteps then"),
        ("KnownListTime", "DINT", "ListTime_ms then"),
        ("KnownSum", "DINT", "check sum then"),
        ("Presetting", "BOOL", "a preset is being looked at"),
        ("PresetTry", "INT", "step tried as the next one"),
        ("PresetBest", "INT", "best one so far"),
        ("PresetLag", "DINT", "time since the reset"),
        ("Candidate", "INT", "step taken as the next one"),
        ("Known", "BOOL", "a step lifts such a load; a load is listed; it was as late before"),
        ("Fitting", "BOOL", "set down already, and not yet lifted"),
        ("BestRow", "INT", "best step that has set down a load"),
        ("BestSlot", "INT", "and its cycle, counted round"),
        ("BestHarm", "DINT", "time beyond its window then"),
        ("BestWait", "DINT", "time until it is lifted"),
        ("PresetRow", Array((slots[0],), "INT"), "step that has set down each load of the preset"),
        ("PresetSlot", Array((slots[0],), "INT"), "and its cycle, counted round"),
        ("PresetLift", Array((slots[0],), "DINT"), "time until it is lifted"),
        ("PresetDone", Array((slots[0],), "BOOL"), "it has its place among those of its kind"),
        ("Oldest", "INT", "oldest load without one"),
        ("Soonest", "INT", "load of its kind that is lifted soonest"),
        ("PresetDelay", "DINT", "wait before the cycle, so that none stands too short"),
        ("LeastDelay", "DINT", "the wait of the best one so far"),
        ("Harm", "DINT", "time beyond their maxima, of all loads"),
        ("LeastHarm", "DINT", "the least so far"),
        ("Failed", "BOOL", "a load of the preset has no place"),
        ("FailedFault", "INT", "what is wrong with a load of the preset"),
        ("FailedEntry", "INT", "with which"),
    ]
    return [Variable("local", name, kind, comment) for name, kind, comment in declared]
