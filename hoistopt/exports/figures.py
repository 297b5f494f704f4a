"""Times of moves and windows in a controller's whole units, each rounded to the safe side."""

from __future__ import annotations

from collections.abc import Iterable

from ..base.errors import InputError
from ..checker.grid.clock import Clock
from ..checker.grid.motion import Timetable
from ..checker.grid.route import Routes
from ..problem import Problem
from ..schedule import Step
from .units import TimeUnit


class Figures:
    """What a table states of the hoist and of windows, whatever list of steps it is.

    Parameters
    ----------
    problem : Problem
    unit : TimeUnit
    clock, times, routes : Clock, Timetable, Routes
        Of the checker's reading.
    steps : iterable of Step
        All that the hoist makes: where it may have to go.
    """

    def __init__(
        self,
        problem: Problem,
        unit: TimeUnit,
        clock: Clock,
        times: Timetable,
        routes: Routes,
        steps: Iterable[Step],
    ) -> None:
        self.problem, self.unit = problem, unit
        self._clock, self._times, self._routes = clock, times, routes
        made = list(steps)
        self._lifts = sorted({step.source for step in made})
        self._stations = sorted({*self._lifts, *(step.target for step in made)})

    def drip(self, drip: int) -> int:
        """The pause after lifting, from grid time."""
        return self.unit.up(self._clock.fraction(drip), self.problem)

    def move(self, total: int, drip: int) -> int:
        """A loaded move, with the drip in whole units, as the machine is told to make it."""
        return self.drip(drip) + self.unit.up(self._clock.fraction(total - drip), self.problem)

    def busy(self, moving: int, target: str) -> int:
        """The least time from a lifting to the next one, wherever that is."""
        empty = min(self._empties(target, None))
        return self.unit.down(self._clock.fraction(moving + empty), self.problem)

    def approach(self, source: str) -> int:
        """The longest empty travel to a station."""
        longest = max(self._empties(None, source))
        return self.unit.up(self._clock.fraction(longest), self.problem)

    def _empties(self, start: str | None, end: str | None) -> list[int]:
        """Empty travel from one station to wherever loads are lifted, or from anywhere to one."""
        starts = [start] if start else self._stations
        ends = [end] if end else self._lifts
        empty = self._times.empty
        return [time for a in starts for b in ends if (time := empty(a, b)) is not None]

    def rest(self, target: str, total: int) -> int:
        """The least time from a lifting at a station to the start of the next move to there.

        Raises
        ------
        InputError
            When a station of several places rests: a sequencer does not know which of them.
        """
        station = self.problem.station_by_name[target]
        if not station.min_rest:
            return 0
        if station.capacity != 1:
            raise InputError(
                "a station of one place, as a table cannot say which of several rests",
                field=f'station "{station.name}", min_rest',
                value=station.min_rest,
                way_out="Make its places stations of their own, all of them named by the stage.",
            )
        left = self._clock.exact(station.min_rest) - total
        return self.unit.up(self._clock.fraction(max(0, left)), self.problem)

    def window(self, recipe: str, stage: int, station: str) -> tuple[int, int | None]:
        """Dwell before the lifting."""
        window, exact = self._routes.window(recipe, stage, station), self._clock.fraction
        least = self.unit.up(exact(window.least), self.problem)
        most = None if window.most is None else self.unit.down(exact(window.most), self.problem)
        return least, most
