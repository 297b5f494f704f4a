"""Which stage of which recipe a load was in at each station of its way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from ..base.text import any_of
from ..problem import Problem, Recipe, Stage

MOST_STOPS = 400
"""Stations on the way of one load; a longer way is told as one that fits no recipe."""


@dataclass(frozen=True)
class Place:
    """A stage that a visit may be, or several with one and the same window.

    Attributes
    ----------
    recipe : str
        Its recipe, of several all of them in few words.
    number : int
        Number of the stage, from 1; that of the first of several.
    stage : Stage
    """

    recipe: str
    number: int
    stage: Stage


@dataclass(frozen=True)
class Way:
    """How the way of a load fits the recipes.

    Attributes
    ----------
    places : tuple of Place or str or None
        For each station of it the stage, or in words why that is not known, or None at the
        ends of the line.
    recipe : str or None
        The recipe, of several that fit alike all of them; None where none fits.
    left_out : tuple of (int, str)
        Stages that lie between two stations of the way and are not on it: before which
        station, and their names.
    extra : tuple of int
        Stations that are no stage there.
    """

    places: tuple[Place | str | None, ...]
    recipe: str | None
    left_out: tuple[tuple[int, str], ...] = ()
    extra: tuple[int, ...] = ()


UNKNOWN = "its way fits no recipe"
SEVERAL = "its way fits several stages with different windows, and no column tells the recipe"
NO_STAGE = "no stage of the recipe at this point of the way"
OFTEN = "it was there more often than the recipe says, and which time was the stage is not known"


class Ways:
    """Ways of loads fitted to the recipes of a line.

    A way is fitted to the route of a recipe with the fewest stages left out between its
    stations, and stations on it that are no stage: an alignment of least cost, found by dynamic
    programming (T. F. Smith and M. S. Waterman (1981), "Identification of common molecular
    subsequences", Journal of Molecular Biology 147, 195-197, with every difference counted as
    one). A way may begin and end anywhere in the route at no cost, as a log does, unless it
    begins where loads enter or ends where they leave. All alignments of least cost count: where
    they mean stages with different windows, the stage is not known.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.known: dict[tuple[tuple[str, ...], str | None], Way] = {}

    @cached_property
    def routes(self) -> list[tuple[Recipe, list[frozenset[str]]]]:
        """For each recipe the stations of its stages, with both ends of the line."""
        problem = self.problem
        return [
            (
                recipe,
                [
                    frozenset([problem.load_station(recipe).name]),
                    *(frozenset(stage.station) for stage in recipe.stages),
                    frozenset([problem.unload_station(recipe).name]),
                ],
            )
            for recipe in problem.recipes
        ]

    def fit(self, stations: Sequence[str], recipe: str | None = None) -> Way:
        """How a way fits; of the one recipe where the log tells it."""
        key = tuple(stations), recipe
        if key not in self.known:
            self.known[key] = self._fit(key[0], recipe)
        return self.known[key]

    def _fit(self, way: tuple[str, ...], recipe: str | None) -> Way:
        if len(way) > MOST_STOPS:
            return self.none(way)
        fits = [
            _Alignment(found, route, way)
            for found, route in self.routes
            if recipe is None or found.name == recipe
        ]
        least = min((fit.cost for fit in fits), default=len(way))
        best = [fit for fit in fits if fit.cost == least]
        # More that differs than fits says nothing of the stages.
        if not best or 2 * least > len(way) or not any(fit.stages for fit in best):
            return self.none(way)
        first = best[0]
        return Way(
            tuple(self._place(best, at) for at in range(len(way))),
            any_of([fit.recipe.name for fit in best]),
            tuple((at, _names(first.recipe, between)) for at, between in first.left_out),
            tuple(first.extra),
        )

    def none(self, way: Sequence[str]) -> Way:
        """A way that fits no recipe."""
        ends = {s.name for s in self.problem.stations if s.loads or s.unloads}
        return Way(tuple(None if name in ends else UNKNOWN for name in way), None)

    def _place(self, best: Iterable[_Alignment], at: int) -> Place | str | None:
        """What a station of the way is, as all the best alignments have it."""
        found = [(fit.recipe, n) for fit in best for n in sorted(fit.options[at])]
        stages = [(recipe, n) for recipe, n in found if 1 <= n <= len(recipe.stages)]
        if not stages:
            return None if found else NO_STAGE
        if any(at in fit.loose for fit in best):
            return OFTEN
        windows = {(r.stages[n - 1].min, r.stages[n - 1].max) for r, n in stages}
        if len(windows) > 1 or len(stages) < len(found):
            return SEVERAL
        recipe, number = stages[0]
        names = list(dict.fromkeys(recipe.name for recipe, _ in stages))
        return Place(any_of(names), number, recipe.stages[number - 1])


class _Alignment:
    """All alignments of least cost of one way with one route.

    Attributes
    ----------
    cost : int
    options : list of set of int
        For each station of the way the places in the route that it may be.
    loose : set of int
        Stations of the way that may be none of them.
    left_out : list of (int, range)
        Places in the route that one of the alignments passes over, each with the station of the
        way after them.
    extra : list of int
        Stations of the way that are none of them in that alignment.
    """

    def __init__(self, recipe: Recipe, route: list[frozenset[str]], way: tuple[str, ...]) -> None:
        self.recipe = recipe
        self.length = len(route)
        begun = way[0] in route[0]
        ended = way[-1] in route[-1] and len(way) > 1
        before = _costs(route, way, free=not begun)
        after = [row[::-1] for row in _costs(route[::-1], way[::-1], free=not ended)[::-1]]
        self.cost = min(map(sum, zip(before[0], after[0], strict=True)))
        self.options: list[set[int]] = [
            {
                place
                for place, stations in enumerate(route)
                if name in stations and before[at][place] + after[at + 1][place + 1] == self.cost
            }
            for at, name in enumerate(way)
        ]
        self.loose = {
            at
            for at in range(len(way))
            if any(
                before[at][place] + 1 + after[at + 1][place] == self.cost
                for place in range(len(route) + 1)
            )
        }
        self.left_out: list[tuple[int, range]] = []
        self.extra: list[int] = []
        self._walk(route, way, after)

    @property
    def stages(self) -> bool:
        """Whether any station is a stage."""
        return any(0 < n < self.length - 1 for options in self.options for n in options)

    def _walk(
        self, route: Sequence[frozenset[str]], way: Sequence[str], after: list[list[int]]
    ) -> None:
        """One of the alignments: every station takes the first place at which that is one."""
        here = next(place for place, left in enumerate(after[0]) if left == self.cost)
        for at, name in enumerate(way):
            left = after[at][here]
            for place in range(here, len(route)):
                if name in route[place] and place - here + after[at + 1][place + 1] == left:
                    if place > here:
                        self.left_out.append((at, range(here, place)))
                    here = place + 1
                    break
            else:
                self.extra.append(at)


def _costs(route: Sequence[frozenset[str]], way: Sequence[str], *, free: bool) -> list[list[int]]:
    """Least cost of aligning the first stations of a way with the first places of a route.

    Parameters
    ----------
    free : bool
        Whether the way may begin at any place of the route without cost.
    """
    rows = [[0 if free else place for place in range(len(route) + 1)]]
    for name in way:
        above = rows[-1]
        row = [above[0] + 1]
        for place, stations in enumerate(route):
            least = min(above[place + 1], row[place]) + 1
            row.append(min(least, above[place]) if name in stations else least)
        rows.append(row)
    return rows


def _names(recipe: Recipe, places: range) -> str:
    stages = [recipe.stages[n - 1].label for n in places if 1 <= n <= len(recipe.stages)]
    return ", ".join(stages)
