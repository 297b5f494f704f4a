"""The ways to move a load from one stage to the next: from where to where, and by which hoist."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import product

from ..base.clock import Clock
from ..base.errors import InfeasibleError
from ..problem import Hoist, Problem, Recipe
from ..problem.hoists import serves
from .data import Route
from .times import HoistTimes


class Ways:
    """Finds the routes of moves, and says why there are none.

    Parameters
    ----------
    problem : Problem
    times : sequence of HoistTimes
        Of each hoist, in track order.
    number : mapping of str to int
        The number of each station.
    clock : Clock
        Checked for every way.
    """

    def __init__(
        self,
        problem: Problem,
        times: Sequence[HoistTimes],
        number: Mapping[str, int],
        clock: Clock,
    ) -> None:
        self.problem = problem
        self.times = times
        self.number = number
        self.clock = clock
        self._serving = {
            station.name: {n for n in range(len(times)) if serves(problem, n, station)}
            for station in problem.stations
        }

    def refuse_overweight(self, recipe: Recipe) -> None:
        """Raise InfeasibleError where no hoist may lift the loads of a recipe."""
        hoists = self.problem.hoists
        if any(self._lifts(hoist, recipe) for hoist in hoists):
            return
        payload = max(hoist.payload for hoist in hoists if hoist.payload is not None)
        whose = "the hoist's payload" if len(hoists) == 1 else "the greatest payload of a hoist,"
        raise InfeasibleError(
            f'recipe "{recipe.name}": a load of mass {recipe.mass} is heavier than '
            f"{whose} of {payload}"
        )

    @staticmethod
    def _lifts(hoist: Hoist, recipe: Recipe) -> bool:
        """Whether a hoist may lift the loads of a recipe."""
        return hoist.payload is None or recipe.mass is None or recipe.mass <= hoist.payload

    def routes(
        self,
        recipe: Recipe,
        stage: int,
        sources: tuple[str, ...],
        targets: tuple[str, ...],
        drip: Decimal,
    ) -> tuple[Route, ...]:
        """The routes of the move out of a stage, one for each way and hoist.

        Parameters
        ----------
        recipe : Recipe
            Of the load.
        stage : int
            The stage that it leaves, 0 for loading.
        sources, targets : tuple of str
            Stations of that stage and of the next.
        drip : Decimal
            Of that stage, in the problem's unit; a crossing may ask for more.

        Raises
        ------
        InfeasibleError
            When there is no route, with what closes each way.
        OutOfTime
            When the clock is over.
        """
        routes: list[Route] = []
        refusals = []
        for source, target in product(sources, targets):
            self.clock.check()
            refusal, needed = self._refusal(source, target)
            found = (
                []
                if refusal
                else list(self._by_hoist(recipe, stage, source, target, max(drip, needed)))
            )
            routes += found
            if refusal:
                refusals.append(refusal)
            elif not found:
                refusals.append(f"no hoist takes it from {source} to {target}")
        if not routes:
            raise InfeasibleError(
                f'recipe "{recipe.name}": no way to move a load out of stage {stage} '
                f"({' or '.join(sources)}): " + "; ".join(dict.fromkeys(refusals))
            )
        return tuple(routes)

    def _by_hoist(
        self, recipe: Recipe, stage: int, source: str, target: str, drip: Decimal
    ) -> Iterator[Route]:
        """The routes from a station to another, of every hoist that can and may make the move."""
        several = len(self.times) > 1
        given = recipe.stages[stage].hoist if stage < len(recipe.stages) else None
        for number in sorted(self._serving[source] & self._serving[target]):
            times = self.times[number]
            if several and not self._lifts(times.hoist, recipe):
                continue
            if given is not None and times.hoist.name not in given:
                continue
            duration = times.loaded(source, target, drip)
            yield Route(
                self.number[source],
                self.number[target],
                duration.planned,
                duration.excess,
                hoist=number,
                path=times.path(source, target, drip, duration) if several else None,
            )

    def _refusal(self, source: str, target: str) -> tuple[str | None, Decimal]:
        """Why this way is closed, if it is, and the drip it asks for, if it is not."""
        if source == target:
            return f"{source} is already where the load stands", Decimal(0)
        for name in (source, target):
            if not self._serving[name]:
                which = "the hoist cannot serve" if len(self.times) == 1 else "no hoist can serve"
                return f"{which} {name}", Decimal(0)
        needed = Decimal(0)
        for crossing in self.problem.crossings:
            if source not in crossing.from_:
                continue
            for over in crossing.over:
                if not self._passes(source, target, over):
                    continue
                if crossing.min_drip is None:
                    return f"a load from {source} may not cross {over}", Decimal(0)
                needed = max(needed, crossing.min_drip)
        return None, needed

    def _passes(self, source: str, target: str, over: str) -> bool:
        """Whether a way leads over a station, strictly between its ends."""
        here, there, middle = (
            self.problem.station_by_name[name].position for name in (source, target, over)
        )
        assert here is not None and there is not None and middle is not None
        return min(here, there) < middle < max(here, there)
