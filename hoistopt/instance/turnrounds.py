"""The ends of the line: what carriers do between leaving with a load and entering with the next."""

from __future__ import annotations

from fractions import Fraction

from ..problem import Problem, Recipe, Station
from .data import Turnround
from .times import ticks_up


def turnrounds(
    problem: Problem, recipes: list[Recipe], by_job: list[list[int]], grid: Fraction
) -> tuple[Turnround, ...]:
    """What carriers have to do at the ends of the line, or outside it, before they enter again.

    Parameters
    ----------
    recipes : list of Recipe
        Of each load of the cycle.
    by_job : list of list of int
        The moves of each load, in their order.
    grid : Fraction
        Ticks per unit of time.
    """
    return tuple(_Ends(problem, recipes, by_job, grid).all())


class _Ends:
    def __init__(
        self, problem: Problem, recipes: list[Recipe], by_job: list[list[int]], grid: Fraction
    ) -> None:
        self.problem = problem
        self.grid = grid
        self.number = {station.name: i for i, station in enumerate(problem.stations)}
        self.loads = [
            (problem.load_station(recipe), problem.unload_station(recipe), moves)
            for recipe, moves in zip(recipes, by_job, strict=True)
        ]

    def all(self) -> list[Turnround]:
        firsts: dict[str, list[int]] = {}
        lasts: dict[str, list[int]] = {}
        for load, unload, moves in self.loads:
            firsts.setdefault(load.name, []).append(moves[0])
            lasts.setdefault(unload.name, []).append(moves[-1])
        if self.problem.carriers.return_ == "hoist":
            return [
                self._standing(
                    name,
                    [moves[-1] for load, _, moves in self.loads if load.name == name],
                    targets,
                )
                for name, targets in firsts.items()
            ]
        found: list[Turnround] = []
        for name, targets in firsts.items():
            station = self.problem.station_by_name[name]
            if station.unloads:
                found.append(self._standing(name, lasts[name], targets))
            else:
                found += self._spaced(station, targets, at_end=False)
        for name, sources in lasts.items():
            station = self.problem.station_by_name[name]
            if not station.loads:
                found += self._spaced(station, sources, at_end=True)
        if self.problem.carriers.count is not None:
            found += self._returned()
        return found

    def _standing(self, name: str, sources: list[int], targets: list[int]) -> Turnround:
        """Carriers wait at a station until they enter with a next load."""
        station = self.problem.station_by_name[name]
        limit = None if station.capacity == "unlimited" else station.capacity
        lag = ticks_up(station.min_occupation, self.grid)
        return Turnround(
            tuple(sources),
            tuple(targets),
            _constant(lag, sources, targets),
            limit,
            place=self.number[name],
            label=name,
        )

    def _spaced(self, station: Station, moves: list[int], *, at_end: bool) -> list[Turnround]:
        """A load or unload station whose carriers come from, or go, outside."""
        if station.capacity == "unlimited" or not station.min_occupation:
            return []
        return [
            Turnround(
                tuple(moves),
                tuple(moves),
                _constant(ticks_up(station.min_occupation, self.grid), moves, moves),
                station.capacity,
                from_start=not at_end,
                to_end=at_end,
                label=station.name,
                carries=False,
            )
        ]

    def _returned(self) -> list[Turnround]:
        """The return of carriers outside the hoist; it matters when they are counted."""
        ends = [entry for entry in self.loads if not entry[1].loads]
        if not ends:
            return []
        back = self.problem.carriers.return_time
        return [
            Turnround(
                tuple(moves[-1] for _, _, moves in ends),
                tuple(moves[0] for _, _, moves in ends),
                tuple(
                    tuple(
                        ticks_up(unload.min_occupation + back + load.min_occupation, self.grid)
                        for load, _, _ in ends
                    )
                    for _, unload, _ in ends
                ),
                None,
                label="return of carriers",
            )
        ]


def _constant(lag: int, sources: list[int], targets: list[int]) -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(lag for _ in targets) for _ in sources)
