"""A line for the function block to run: one hoist, stations, carriers, an operator.

It knows the exact move and travel times and nothing of the schedule. Time is in ms; it
goes from event to event, so that the block is called whenever something happens.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil
from typing import Any

from hoistopt.checker.table import Table
from hoistopt.exports import SequencerTable
from hoistopt.exports.readback.proof import schedule_of
from hoistopt.problem import Problem
from tests.helpers.st_machine import Machine

LONGEST_SCAN = 1000


@dataclass
class Stay:
    step: int
    dwell: int


@dataclass
class Plant:
    """The line and its operator.

    What the operator does is told by functions of time; `events` are the times at which
    one of them changes.

    Attributes
    ----------
    standing : dict
        By station: when each carrier was set down, and by which step.
    started : list of (int, int)
        Step and time of every lift.
    stays : list of Stay
        Dwell before the lift, by the step that lifted.
    """

    machine: Machine
    problem: Problem
    table: SequencerTable
    admit: Callable[[int], bool] = lambda now: True
    enable: Callable[[int], bool] = lambda now: True
    hoist_ready: Callable[[int], bool] = lambda now: True
    release: Callable[[int], bool] = lambda now: True
    confirm: Callable[[int], bool] = lambda now: False
    events: tuple[int, ...] = ()
    now: int = 0
    called: int = 0
    started: list[tuple[int, int]] = field(default_factory=list)
    stays: list[Stay] = field(default_factory=list)
    seen: list[tuple[int, dict[str, Any]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        schedule = schedule_of(self.problem, self.table)
        table = Table(self.problem, schedule)
        per_ms = Fraction(self.problem.seconds_per_unit) * 1000

        def ms(time: int | None) -> int:
            assert time is not None
            return ceil(table.clock.fraction(time) * per_ms)

        legs = [table.routes.legs(step.source, step.target) for step in table.steps]
        self.names = dict(self.table.stations)
        numbers = {name: number for number, name in self.names.items()}
        self.moving_time = []
        for number, step in enumerate(self.table.steps):
            leg = next(
                leg
                for leg in legs[number]
                if leg.recipe == self.table.recipes[step.recipe - 1] and leg.leaves == step.stage
            )
            parts = table.parts(number, leg)
            assert parts is not None
            # The hoist drips for as long as it is told to.
            more = step.drip * self.table.unit.milliseconds - ms(parts.drip)
            self.moving_time.append(ms(parts.total) + more)
        used = {step.source for step in table.steps} | {step.target for step in table.steps}
        self.empty = {
            (numbers[a], numbers[b]): ms(table.times.empty(a, b)) for a in used for b in used
        }
        self.standing: dict[int, list[tuple[int, int]]] = {number: [] for number in self.names}
        self.loads = [step.recipe for step in self.table.steps if step.fed_by is None]
        self.loaded = 0
        self.at = self.table.steps[0].pick
        self.idle_from = 0
        self.to: int | None = None
        self.moving: int | None = None
        self.moments = self._moments()

    def _moments(self) -> list[int]:
        unit = self.table.unit.milliseconds
        moments = {self.table.cycle * unit}
        for step in self.table.steps:
            moments |= {time * unit for time in (step.start, step.latest, step.alarm or 0)}
        return sorted(moments)

    @property
    def clock(self) -> int:
        name = "Clock" if "Clock" in self.machine.types else "Clock_ms"
        return self.machine[name]

    # -- one call -----------------------------------------------------------------

    def run(self, until: int) -> None:
        """Call the block up to a time."""
        self.now = min(self.now, until)
        while True:
            self._call(self.now - self.called)
            self.called = self.now
            if self.now == until:
                return
            self.now = min(self._next(), until)

    def _next(self) -> int:
        """When something will next happen that the block may wait for."""
        under_way = self.moving is not None or self.to is not None
        if self.machine["JustDone"] or (under_way and self.idle_from <= self.now):
            return self.now  # the next call follows at once; or a way of no length
        found = [LONGEST_SCAN, self.idle_from - self.now, self._until_least_dwell()]
        found += [moment - self.clock for moment in self.moments]
        found += [event - self.now for event in self.events]
        for number, carriers in self.standing.items():
            found += [since + self._stay_at_end(number) - self.now for since, _ in carriers]
        return self.now + min(time for time in found if time > 0)

    def _until_least_dwell(self) -> int:
        machine = self.machine
        row = machine["Steps"][machine["Current"]]
        if not (machine["Blocked"] and row["WaitSourceDwell"]):
            return 0
        least = self.table.steps[machine["Current"] - 1].least * self.table.unit.milliseconds
        return least - machine["Age"][machine["Feeder"], machine["FedSlot"]]

    def _stay_at_end(self, number: int) -> int:
        least = self.problem.station_by_name[self.names[number]].min_occupation
        return ceil(least * self.problem.seconds_per_unit * 1000)

    def _call(self, elapsed: int) -> None:
        done = False
        if self.now >= self.idle_from:
            if self.moving is not None:
                self._set_down(self.moving)
                done, self.moving = True, None
            elif self.to is not None:
                self.at, self.to = self.to, None
        idle = self.moving is None and self.to is None and self.hoist_ready(self.now)
        timed = "Elapsed" if "Elapsed" in self.machine.types else "Elapsed_ms"
        self.machine.call(
            Enable=self.enable(self.now),
            AdmitLoads=self.admit(self.now),
            HoistIdle=idle,
            HoistAt=self.at,
            MoveDone=done,
            CarrierRemoved=self.confirm(self.now),
            CarrierAt={number: self._carrier(number) for number in self.names},
            PlaceFreeAt={number: self._free(number) for number in self.names},
            LoadReleasedAt={number: self._released(number) for number in self.names},
            **{timed: elapsed},
        )
        if self.machine["StartMove"] and self.moving is None:
            assert not done, "StartMove has not fallen"
            self._lift(self.machine["StepNo"] - 1)
        elif self.machine["GoToPick"] and idle:
            self.to = self.machine["NextPick"]
            self.idle_from = self.now + self.empty[self.at, self.to]
        shown = ("Late", "Alarm", "Overstay", "CarrierMissing", "RunOutDone", "LoadsInLine")
        self.seen.append((self.now, {name: self.machine[name] for name in shown}))

    def _lift(self, number: int) -> None:
        step = self.table.steps[number]
        assert self.at == step.pick == self.machine["PickStation"]
        assert self.machine["PlaceStation"] == step.place
        self.started.append((step.step, self.now))
        self.moving, self.idle_from = number, self.now + self.moving_time[number]
        if step.fed_by is None:
            self.loaded += 1
            self.standing[step.pick] = self.standing[step.pick][1:]
        else:
            # In a bath where order does not matter, the one of this kind that came first.
            here = self.standing[step.pick]
            lifted = next((c for c in here if c[1] == step.fed_by), here[0])
            here.remove(lifted)
            self.stays.append(Stay(step.step, self.now - lifted[0]))

    def _set_down(self, number: int) -> None:
        step = self.table.steps[number]
        self.at = step.place
        self._free(step.place)
        self.standing[step.place].append((self.now, step.step))
        station = self.problem.station_by_name[self.names[step.place]]
        assert station.capacity == "unlimited" or (
            len(self.standing[step.place]) <= station.capacity
        ), f"too many carriers in {station.name}"

    # -- sensors ------------------------------------------------------------------

    def _carrier(self, number: int) -> bool:
        return bool(self.standing[number]) or self.problem.station_by_name[self.names[number]].loads

    def _free(self, number: int) -> bool:
        station = self.problem.station_by_name[self.names[number]]
        least = self._stay_at_end(number)
        by_hand = self.problem.carriers.return_ == "outside" and station.kind == "unload"
        no_load = station.loads and not (self.admit(self.now) and self.release(self.now))
        if by_hand or no_load:
            # The carrier is taken away when its time is up.
            here = self.standing[number]
            self.standing[number] = [c for c in here if c[0] + least > self.now]
        return station.capacity == "unlimited" or len(self.standing[number]) < station.capacity

    def _released(self, number: int) -> int:
        loads = self.problem.station_by_name[self.names[number]].loads
        if not loads or not self.release(self.now):
            return 0
        return self.loads[self.loaded % len(self.loads)]
