"""The function block's variables, as data that structured text and XML both write."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .block_body import clock_suffix, scaled
from .st_types import LONGEST_MS, Dialect

Section = Literal["input", "output", "constant", "local"]


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


def variables(dialect: Dialect) -> list[Variable]:
    """Every variable but the table of steps, in order of declaration."""
    return [*_inputs(dialect), *_outputs(dialect), *_constants(dialect), *_locals(dialect)]


def _inputs(dialect: Dialect) -> list[Variable]:
    ms, time = clock_suffix(dialect), dialect.time_type
    stations = Array((_station_bounds(dialect),), "BOOL")
    recipes = Array((_station_bounds(dialect),), "INT")

    def input_(name: str, kind: str | Array, comment: str) -> Variable:
        return Variable("input", name, kind, comment)

    return [
        input_("Reset", "BOOL", "start afresh with an empty line"),
        input_("Enable", "BOOL", "FALSE stops the clock and starts no step"),
        input_("AdmitLoads", "BOOL", "FALSE lifts no new loads: the line runs out"),
        input_(f"Elapsed{ms}", time, "time since the last call, at least 0"),
        input_("HoistIdle", "BOOL", "hoist stands still, empty and ready"),
        input_("HoistAt", "INT", "number of the station it stands at"),
        input_("MoveDone", "BOOL", "carrier is down; its rising edge ends a step"),
        input_("CarrierRemoved", "BOOL", "rising edge: missing carrier was taken by hand"),
        input_("CarrierAt", stations, "by station: a carrier stands there"),
        input_("PlaceFreeAt", stations, "by station: there is a free place"),
        input_("LoadReleasedAt", recipes, "by load station: recipe of the load ready; 0: none"),
    ]


def _outputs(dialect: Dialect) -> list[Variable]:
    ms, time = clock_suffix(dialect), dialect.time_type

    def output(name: str, kind: str, comment: str) -> Variable:
        return Variable("output", name, kind, comment)

    return [
        output("StartMove", "BOOL", "carry out the step below; FALSE again when it is done"),
        output("StepNo", "INT", "step last started"),
        output("PickStation", "INT", "its pick station"),
        output("PlaceStation", "INT", "its place station"),
        output(f"Drip{ms}", time, "its drip"),
        output("GoToPick", "BOOL", "travel empty to the next pick station"),
        output("NextPick", "INT", "the next pick station"),
        output(f"Clock{ms}", time, "time in the cycle of the next step, or the one before"),
        output("CycleNo", "DINT", "cycle of the next step, from 0"),
        output("LoadsInLine", "INT", "loads in process"),
        output("Late", "BOOL", "the next step is past its latest start"),
        output("Alarm", "BOOL", "its alarm limit is reached; the clock stands"),
        output("Overstay", "BOOL", "a load exceeds its greatest dwell"),
        output("CarrierMissing", "BOOL", "a carrier that is due is not there"),
        output("RunOutDone", "BOOL", "no load is admitted and none is left"),
    ]


def _constants(dialect: Dialect) -> list[Variable]:
    table = dialect.table

    def constant(name: str, kind: str, comment: str, value: str) -> Variable:
        return Variable("constant", name, kind, comment, value)

    found = [
        constant("LastStep", "INT", "steps in a cycle", str(len(table.steps))),
        constant("LastSlot", "INT", "most cycles a carrier stands in a station",
                 str(table.slots - 1)),
        constant(f"CycleTime{dialect.suffix}", dialect.time_type, "cycle time",
                 dialect.time(table.cycle)),
        constant("LongestAge", dialect.time_type, "no time is counted further, in ms",
                 dialect.milliseconds(LONGEST_MS)),
    ]  # fmt: skip
    if scaled(dialect):
        unit = table.unit
        found.append(constant("MsPerUnit", "DINT", f"ms in {unit.label}", str(unit.milliseconds)))
    return found


def _locals(dialect: Dialect) -> list[Variable]:
    time, longest = dialect.time_type, dialect.milliseconds(LONGEST_MS)
    slots = ((1, len(dialect.table.steps)), (0, dialect.table.slots - 1))

    def local(name: str, kind: str | Array, comment: str, initial: str | None = None) -> Variable:
        return Variable("local", name, kind, comment, initial)

    return [
        local("Standing", Array(slots, "BOOL"), "by step and cycle: what it set down stands"),
        local("Age", Array(slots, time), "and for how long, in ms"),
        local("Current", "INT", "next step to start or skip", "1"),
        local("CurrentSlot", "INT", "its cycle, counted round"),
        local("Ahead", "BOOL", "the clock is still in the cycle before its own"),
        local("Due", "BOOL", "its carrier is there"),
        local("Skip", "BOOL", "it is left out"),
        local("Ready", "BOOL", "it can start"),
        local("Blocked", "BOOL", "it is time for it, but it cannot start"),
        local("FreeFor", time, "how long the hoist has been free, in ms", longest),
        local("Margin", time, "how late the step may be, in ms"),
        local("Moving", "BOOL", "the hoist carries out a step"),
        local("Moved", "INT", "that step", "1"),
        local("MovedSlot", "INT", "and its cycle, counted round"),
        local("DoneBefore", "BOOL", "MoveDone at the last call"),
        local("JustDone", "BOOL", "a step has ended in this call"),
        local("RemovedBefore", "BOOL", "CarrierRemoved at the last call"),
        local("Pick", "INT", "pick station of the next step"),
        local("Feeder", "INT", "step that feeds it"),
        local("FedSlot", "INT", "cycle of that step, counted round"),
        local("RowNo", "INT", "counts steps"),
        local("SlotNo", "INT", "counts cycles"),
        local("NextRow", "INT", "step that lifts what a step set down"),
    ]


def _station_bounds(dialect: Dialect) -> tuple[int, int]:
    numbers = [number for number, _ in dialect.table.stations]
    return min(numbers), max(numbers)
