"""What a state says of the rest of the line: its one hoist, places that rest, ends, carriers."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property

from ..base.errors import InfeasibleError
from ..base.numbers.decimals import told
from ..problem import Problem
from ..schedule import LineState
from .data import Instance, Move
from .finite import LONG_AGO, CarrierStock, EndStation, FiniteLoad
from .times import HoistTimes, ticks_up


def last_stage(problem: Problem, recipe: str) -> int:
    """The number of the stage at the unload station."""
    return len(problem.recipe_by_name[recipe].stages) + 1


class AtFirst:
    """How a state has the line, apart from the loads that are still to be moved.

    Parameters
    ----------
    problem : Problem
    state : LineState
        Checked.
    pattern : Instance
        Of one load of each recipe there is.
    """

    def __init__(self, problem: Problem, state: LineState, pattern: Instance) -> None:
        self.problem, self.state, self.pattern = problem, state, pattern
        self.grid = pattern.ticks_per_unit
        self.by_hoist = problem.carriers.return_ == "hoist"
        self.number = {station.name: i for i, station in enumerate(problem.stations)}

    def hoist(self, moves: Sequence[Move]) -> tuple[int, ...] | None:
        """When the one hoist could be at each place, in ticks; None where it is not said."""
        hoist = self.state.hoist
        if hoist is None:
            return None
        free = (hoist.free_in.most * self.grid).__ceil__()
        sources = {place for move in moves for place in move.sources}
        return tuple(
            free + (self._from_hoist[place] if place in sources else 0)
            for place in range(len(self.problem.stations))
        )

    @cached_property
    def _from_hoist(self) -> list[int]:
        """Ticks from where the hoist is to each place that any load is lifted from."""
        assert self.state.hoist is not None
        times, station = HoistTimes(self.problem), self.state.hoist.station
        sources = {place for move in self.pattern.moves for place in move.sources}
        return [
            times.empty(station, one.name) if place in sources else 0
            for place, one in enumerate(self.problem.stations)
        ]

    def resting(self) -> dict[int, tuple[int, ...]]:
        """When places that rest were left, in whole ticks, rounded up.

        A load that the hoist is about to set down gets the one that was left first.
        """
        found: dict[int, tuple[int, ...]] = {}
        for place, station in enumerate(self.problem.stations):
            left = sorted(
                -(entry.empty_for.least * self.grid).__floor__()
                for entry in self.state.resting
                if entry.station == station.name
            )
            if not left:
                continue
            assert isinstance(station.capacity, int)
            free = station.capacity
            free -= sum(entry.station == station.name for entry in self.state.standing)
            free -= sum(hoist.station == station.name for hoist, _ in self.state.carried)
            found[place] = tuple(left[max(0, len(left) - free) :])
        return found

    def ends(self, loads: Sequence[FiniteLoad]) -> list[EndStation]:
        """Stations of the ends that hold a carrier for a while, and when their places are free."""
        problem = self.problem
        names: dict[str, None] = {}
        for load in loads:
            recipe = problem.recipe_by_name[load.recipe]
            names[problem.load_station(recipe).name] = None
            names[problem.unload_station(recipe).name] = None
        found = []
        for name in names:
            station = problem.station_by_name[name]
            within = self.by_hoist and not station.loads  # a stage like others
            if within or station.capacity == "unlimited" or not station.min_occupation:
                continue
            ready = self._ready(name, station.capacity)
            occupied = ticks_up(station.min_occupation, self.grid)
            found.append(EndStation(self.number[name], occupied, tuple(ready)))
        return found

    def _ready(self, name: str, capacity: int) -> list[tuple[int, int]]:
        occupied = Fraction(self.problem.station_by_name[name].min_occupation) * self.grid
        ready = []
        for entry in self.state.standing:
            if entry.station == name and self._out(entry.recipe, entry.stage):
                time = (occupied - entry.stood.least * self.grid).__ceil__()
                ready.append((time, time))
        unknown = LONG_AGO if not self.state.each_hoist else occupied.__ceil__()
        ready += [(unknown, LONG_AGO)] * (capacity - len(ready))
        for down in self._carried_out():
            if down[0] != name:
                continue
            taken = min(range(len(ready)), key=lambda place: ready[place][1])
            if ready[taken][1] > down[1] * self.grid:
                free = told(ready[taken][1] / self.grid)
                raise InfeasibleError(
                    f"the hoist sets a load down at {name} in {told(down[1])} "
                    f"{self.problem.unit}, but no place is free there for {free}"
                )
            time = (down[1] * self.grid + occupied).__ceil__()
            ready[taken] = (time, time)
        return ready

    def _out(self, recipe: str | None, stage: int) -> bool:
        return recipe is None or (stage == last_stage(self.problem, recipe) and not self.by_hoist)

    def _carried_out(self) -> list[tuple[str, Fraction]]:
        """Where and when a hoist sets down a load that it carries out of the line."""
        return [
            (hoist.station, hoist.free_in.most)
            for hoist, one in self.state.carried
            if one.stage == last_stage(self.problem, one.recipe) - (not self.by_hoist)
        ]

    def carriers(self, loads: Sequence[FiniteLoad]) -> CarrierStock | None:
        """When empty carriers are there; None where there is no end of them."""
        problem = self.problem
        count = problem.carriers.count
        if count is None:
            return None
        grid, way = self.grid, Fraction(problem.carriers.return_time)
        back = [span.most for span in self.state.returning]
        for entry in self.state.standing:
            station = problem.station_by_name[entry.station]
            if not self._out(entry.recipe, entry.stage):
                continue
            if station.unloads and not station.loads:
                back.append(Fraction(station.min_occupation) + way - entry.stood.least)
            elif entry.recipe is not None or station.unloads or self.by_hoist:
                back.append(-entry.stood.least)
        for down in self._carried_out():
            station = problem.station_by_name[down[0]]
            stay = 0 if station.loads else Fraction(station.min_occupation) + way
            back.append(down[1] + stay)
        inside = sum(not load.enters for load in loads)
        ready = [(time * grid).__ceil__() for time in back]
        ready += [LONG_AGO] * (count - inside - len(ready))
        ahead, behind = {}, {}
        for name, place in self.number.items():
            station = problem.station_by_name[name]
            ahead[place] = ticks_up(station.min_occupation, grid)
            stay = 0 if station.loads or self.by_hoist else Fraction(station.min_occupation) + way
            behind[place] = ticks_up(Fraction(stay), grid)
        return CarrierStock(tuple(sorted(ready)), ahead, behind)
