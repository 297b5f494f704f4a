"""Where loads go: which stage of which recipe a move from one station to another serves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...problem import Problem, Recipe
from .clock import Clock
from .motion import Timetable


@dataclass(frozen=True, slots=True, order=True)
class Leg:
    """One leg of a load's way: from stage `leaves` to stage `reaches` of `recipe`.

    Stage 0 is the load station; one more than the last stage is the unload station.
    `reaches` is None at a station the recipe does not use.
    """

    recipe: str
    leaves: int
    reaches: int | None


@dataclass(frozen=True, slots=True)
class Window:
    """Least and greatest dwell in grid time; no greatest where `most` is None.

    `eased` is how far `most` lies above the maximum stated. It is above 0 for a fixed
    dwell after a move that takes no whole number of ticks, and then below a tick.
    """

    least: int
    most: int | None
    eased: int = 0


class Routes:
    """The ways of all recipes, and the windows along them."""

    def __init__(self, problem: Problem, clock: Clock, times: Sequence[Timetable]) -> None:
        self.problem = problem
        self._times = times
        self.by_hoist = problem.carriers.return_ == "hoist"
        self._clock = clock
        self._at: dict[str, dict[tuple[str, int], None]] = {}
        self._legs: dict[tuple[str, str], tuple[Leg, ...]] = {}
        self._windows: dict[tuple[str, int, str], Window] = {}
        for recipe in problem.recipes:
            for number, names in enumerate(self._way(recipe)):
                for name in names:
                    self._at.setdefault(name, {})[recipe.name, number] = None

    def _way(self, recipe: Recipe) -> list[tuple[str, ...]]:
        return [
            (self.problem.load_station(recipe).name,),
            *(stage.station for stage in recipe.stages),
            (self.problem.unload_station(recipe).name,),
        ]

    def last(self, recipe: str) -> int:
        """The number that stands for the unload station."""
        return len(self.problem.recipe_by_name[recipe].stages) + 1

    def legs(self, source: str, target: str) -> tuple[Leg, ...]:
        """Every leg the recipes have from `source` to `target`."""
        key = (source, target)
        if key not in self._legs:
            self._legs[key] = tuple(self._find_legs(source, target))
        return self._legs[key]

    def _find_legs(self, source: str, target: str) -> list[Leg]:
        if source == target:
            return []
        reached = self._at.get(target, {})
        found = []
        for recipe, number in self._at.get(source, {}):
            if (recipe, number + 1) in reached:
                found.append(Leg(recipe, number, number + 1))
            if self.by_hoist and number == self.last(recipe) and (recipe, 0) in reached:
                found.append(Leg(recipe, number, 0))
        return found

    def stage_after(self, recipe: str, stage: int, station: str) -> int | None:
        """The stage of `recipe` that `station` serves, the next one after `stage` first."""
        served = sorted(n for r, n in self._at.get(station, {}) if r == recipe)
        later = [number for number in served if number > stage]
        return next(iter(later or served), None)

    def stations(self, recipe: str, stage: int) -> tuple[str, ...]:
        """The stations that serve a stage."""
        return self._way(self.problem.recipe_by_name[recipe])[stage]

    def window(self, recipe: str, stage: int, station: str) -> Window:
        """How long a carrier stands at least and at most."""
        key = (recipe, stage, station)
        if key not in self._windows:
            self._windows[key] = self._find_window(*key)
        return self._windows[key]

    def _find_window(self, recipe: str, stage: int, station: str) -> Window:
        exact = self._clock.exact
        if 0 < stage < self.last(recipe):
            given = self.problem.recipe_by_name[recipe].stages[stage - 1]
            if given.max is None:
                return Window(exact(given.min), None)
            eased = self._eased(recipe, stage, station)
            return Window(exact(given.min), exact(given.max) + eased, eased)
        return Window(exact(self.problem.station_by_name[station].min_occupation), None)

    def _eased(self, recipe: str, stage: int, station: str) -> int:
        """How far above its maximum a dwell may end, as the hoist starts at whole ticks.

        A carrier may be lifted once its minimum, in whole ticks, has passed since the
        whole tick at which, or next after, it is set down. Where the window is shorter
        than that, as when both ends are one figure, the maximum gives way, by less than
        a tick; a window in which no multiple of the tick lies gives way nowhere.
        """
        given = self.problem.recipe_by_name[recipe].stages[stage - 1]
        assert given.max is not None
        least = self._clock.up_to_tick(self._clock.exact(given.min))
        most = self._clock.exact(given.max)
        if least > most:
            return 0
        before = Leg(recipe, stage - 1, stage)
        took = [
            times.loaded(source, station, self.drip(before))
            for times in self._times
            for source in self.stations(recipe, stage - 1)
            if source != station
        ]
        rests = [self._clock.up_to_tick(part.total) - part.total for part in took if part]
        return max(0, least + max(rests, default=0) - most)

    def drip(self, leg: Leg) -> int:
        """The pause over the station left; none at either end of the line."""
        if 0 < leg.leaves < self.last(leg.recipe):
            stage = self.problem.recipe_by_name[leg.recipe].stages[leg.leaves - 1]
            return self._clock.exact(stage.drip)
        return 0

    def stays_on(self, leg: Leg) -> bool:
        """Whether a carrier brought by this leg is lifted later as the same load."""
        return bool(leg.reaches) and (self.by_hoist or leg.reaches != self.last(leg.recipe))

    def label(self, recipe: str, stage: int, station: str) -> str:
        """The stage's name, or the station at the ends of the line."""
        if 0 < stage < self.last(recipe):
            return self.problem.recipe_by_name[recipe].stages[stage - 1].label
        return station
