"""What a schedule's fixed pattern demands of its times, in whole units of a controller.

The pattern is kept: order of the moves, stations, and which move lifts what another set
down how many cycles ago. What is left are demands of the form "this move starts at
least so long after that one", and they are exact: whole numbers of units, each rounded
up once from the exact sum of move, travel or dwell. How many carriers stand where
follows from the order of the moves alone and cannot change.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..base.errors import InputError
from ..checker.plan import Plan


@dataclass(frozen=True, slots=True)
class Demand:
    """``start[after] + cycles * T - start[before] >= least``, in whole units."""

    before: int
    after: int
    cycles: int
    least: int


class Pattern:
    """The demands of a plan the checker accepts.

    Parameters
    ----------
    plan : Plan
        The checker's reading of the schedule.
    units : Fraction
        Whole units of the controller per unit of the problem.
    """

    def __init__(self, plan: Plan, units: Fraction) -> None:
        self._plan = plan
        self._table = plan.table
        self._grid = plan.table.clock.per_unit / units  # grid steps per whole unit
        self._steps = range(len(plan.table.steps))

    def demands(self) -> list[Demand]:
        """All of them."""
        found = [*self._hoist(), *self._stands(), *self._returns(), *self._ends()]
        # So that the first move of the cycle stays the first.
        found += [Demand(number, 0, 1, 1) for number in self._steps[1:]]
        return found

    def cycle_limits(self) -> tuple[int, int | None]:
        """Least and greatest cycle time asked for, in whole units."""
        problem, exact = self._table.problem, self._table.clock.exact
        loads = sum(map(self._plan.begins, self._steps))
        sets = Fraction(loads, len(problem.load_set))
        least = self._up(exact(Fraction(problem.cycle.min) * sets))
        most = problem.cycle.max
        return max(least, 1), None if most is None else -self._up(-exact(Fraction(most) * sets))

    def _up(self, time: int | Fraction) -> int:
        return -((-time / self._grid) // 1)

    def _moving(self, number: int) -> int:
        parts = self._plan.parts[number]
        assert parts is not None
        return parts.total

    def _after_end(self, before: int, after: int, cycles: int, least: int) -> Demand:
        """A start at least `least` after the end of another move."""
        return Demand(before, after, cycles, self._up(self._moving(before) + least))

    def _hoist(self) -> Iterator[Demand]:
        """Between any two moves the hoist has time to get from one to the other."""
        steps = self._table.steps
        for before in self._steps:
            for after in self._steps:
                empty = self._table.times.empty(steps[before].target, steps[after].source)
                assert empty is not None
                yield self._after_end(before, after, int(after <= before), empty)

    def _stands(self) -> Iterator[Demand]:
        """Every load stands in every stage within its window."""
        plan = self._plan
        for number, link in plan.links.items():
            leg = plan.legs[number]
            assert leg is not None
            if plan.begins(number):
                continue
            station = self._table.steps[number].source
            window = self._table.routes.window(leg.recipe, leg.leaves, station)
            yield self._after_end(link.before, number, link.boundaries, window.least)
            if window.most is not None:
                longest = self._moving(link.before) + window.most
                yield Demand(number, link.before, -link.boundaries, self._up(-longest))

    def _returns(self) -> Iterator[Demand]:
        """A carrier is ready for its next load, as long as carriers or places are counted."""
        problem, exact = self._table.problem, self._table.clock.exact
        counted = problem.carriers.count is not None
        for number, link in self._plan.links.items():
            if not self._plan.begins(number):
                continue
            source = problem.station_by_name[self._table.steps[number].source]
            target = problem.station_by_name[self._table.steps[link.before].target]
            if target.name == source.name:
                needed, wait = source.capacity != "unlimited", source.min_occupation
            else:
                needed = False
                wait = target.min_occupation + source.min_occupation + problem.carriers.return_time
            if needed or counted:
                yield self._after_end(link.before, number, link.boundaries, exact(wait))

    def _ends(self) -> Iterator[Demand]:
        """Carriers from and to outside keep their places at the ends for their least stay."""
        problem = self._table.problem
        if self._table.routes.by_hoist:
            return
        for station in problem.stations:
            if station.capacity == "unlimited" or station.kind not in ("load", "unload"):
                continue
            least = self._table.clock.exact(station.min_occupation)
            if station.kind == "load":
                events = [n for n in self._steps if self._table.steps[n].source == station.name]
                before = [0] * len(self._steps)
            else:
                events = [n for n in self._steps if self._table.steps[n].target == station.name]
                # Counted from the start of the one move to the start of the other.
                before = [self._moving(n) for n in self._steps]
            for place, number in enumerate(events):
                cycles, other = divmod(place + station.capacity, len(events))
                gap = least + before[number] - before[events[other]]
                yield Demand(number, events[other], cycles, self._up(gap))


def limits_meet(limits: tuple[int, int | None], unit: str) -> None:
    """Refuse limits of the cycle time between which there is no whole unit.

    Raises
    ------
    InputError
    """
    least, most = limits
    if most is not None and least > most:
        raise InputError(
            f"limits of the cycle time with a whole number of {unit} between them",
            field="cycle, max",
            way_out="Choose a finer time unit.",
        )
