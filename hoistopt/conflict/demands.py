"""What is demanded of a line, one by one: what a conflict is made of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ..instance import Instance, Stay
from ..problem import Problem
from ..schedule import readable

Kind = Literal[
    "longest",
    "shortest",
    "carriers",
    "maximum",
    "rest",
    "station",
    "return",
    "minimum",
    "loaded",
    "empty",
    "distance",
    "hoist",
    "load",
]


@dataclass(frozen=True)
class Demand:
    """One thing demanded of the line that could be given up.

    Attributes
    ----------
    kind : str
        "maximum" or "minimum" of a stage; "longest" or "shortest" cycle time; number of
        "carriers"; "rest" of a tank; least occupation of a "station" at the end of the line;
        "return" of carriers; the hoist's time for a "loaded" move; its "empty" travel. Of several
        hoists their "distance", and nobody's time for a loaded move. From a
        state of the line also where the "hoist" is, and that a "load" goes on. Of a cycle "hoist"
        is all of the hoist's own times in one.
    words : str
        What it is, with its figure, for people.
    recipe, stage : str, int
        Where it belongs to one: for "loaded", the stage the load is lifted from.
    station : str
        The station of least occupation, or the tank that rests.
    load : int
        Number of the load it is about; 0 where it is about all.
    """

    kind: Kind
    words: str
    recipe: str = ""
    stage: int = 0
    station: str = ""
    load: int = 0

    def __str__(self) -> str:
        return self.words


HOIST: tuple[Kind, ...] = ("loaded", "empty")
"""Demands that are the hoist's own times."""


def demands(problem: Problem, instance: Instance) -> tuple[Demand, ...]:
    """All that is asked of a line, what is most readily talked about first."""
    tell = _Teller(problem, instance)
    found = [
        *tell.limits(),
        *tell.maxima(),
        *tell.rests(),
        *tell.ends(),
        *tell.minima(),
        *tell.hoist(),
    ]
    return tuple(dict.fromkeys(found))


def is_end(problem: Problem, instance: Instance, stay: Stay) -> bool:
    """Whether an empty carrier stands at its unload station, for the hoist to carry back."""
    move = instance.moves[stay.departure]
    return move.stage > len(problem.recipe_by_name[instance.recipes[move.job]].stages)


def rest_of(problem: Problem, station: str) -> Demand:
    """The demand that a tank stays empty for its rest after every carrier."""
    time = f"{problem.station_by_name[station].min_rest:f} {problem.unit}"
    words = f"the {time} for which {station} stays empty after every carrier"
    return Demand("rest", words, station=station)


class _Teller:
    def __init__(self, problem: Problem, instance: Instance) -> None:
        self._problem = problem
        self._instance = instance
        self._several = len(set(instance.recipes)) > 1

    def limits(self) -> Iterator[Demand]:
        instance = self._instance
        if instance.longest is not None:
            yield Demand("longest", f"a cycle of at most {self._time(instance.longest)}")
        if instance.shortest > 0:
            yield Demand("shortest", f"a cycle of at least {self._time(instance.shortest)}")
        if instance.carriers is not None:
            number = instance.carriers
            words = "only one carrier" if number == 1 else f"no more than {number} carriers"
            yield Demand("carriers", words)

    def maxima(self) -> Iterator[Demand]:
        for stay in self._instance.stays:
            if stay.most is not None:
                yield self._window("maximum", stay, stay.most)

    def minima(self) -> Iterator[Demand]:
        for stay in self._instance.stays:
            if stay.least and not is_end(self._problem, self._instance, stay):
                yield self._window("minimum", stay, stay.least)

    def ends(self) -> Iterator[Demand]:
        for stay in self._instance.stays:
            if stay.least and is_end(self._problem, self._instance, stay):
                name = stay.label
                yield Demand("station", self._standing(name, stay.least), station=name)
        for chain in self._instance.turnrounds:
            lag = max(max(row) for row in chain.lags)
            matters = chain.most is not None or self._instance.carriers is not None
            if not lag or not matters:
                continue
            if chain.carries and chain.place is None:
                words = "the carriers' way back with the least times at both ends, "
                yield Demand("return", words + self._time(lag))
            else:
                yield Demand("station", self._standing(chain.label, lag), station=chain.label)

    def rests(self) -> Iterator[Demand]:
        for number in self._instance.stays_at:
            place = self._instance.places[number]
            if place.rest:
                yield rest_of(self._problem, place.name)

    def hoist(self) -> Iterator[Demand]:
        if self._instance.several is not None:
            yield from self._hoists()
            return
        for move in self._instance.moves:
            recipe = self._instance.recipes[move.job]
            sources, targets = (
                " or ".join(self._instance.places[place].name for place in places)
                for places in (move.sources, move.targets)
            )
            times = sorted({route.duration for route in move.routes})
            shown = " or ".join(map(self._time, times))
            whose = f" of {recipe}" if self._several else ""
            yield Demand(
                "loaded",
                f"the hoist's time for the move{whose} from {sources} to {targets}, {shown}",
                recipe,
                move.stage,
            )
        if any(any(row) for row in self._instance.empty):
            yield Demand("empty", "the hoist's empty travel")

    def _hoists(self) -> Iterator[Demand]:
        """What hoists that share a track ask for beside their loaded moves."""
        assert self._problem.track is not None
        apart = f"{self._problem.track.clearance:f} {self._problem.length_unit}"
        yield Demand("distance", f"the hoists' least distance of {apart}")
        if any(any(row) for row in self._instance.empty):
            yield Demand("empty", "the hoists' empty travel")

    def _window(self, kind: Literal["minimum", "maximum"], stay: Stay, ticks: int) -> Demand:
        move = self._instance.moves[stay.departure]
        recipe = self._instance.recipes[move.job]
        whose = f" of {recipe}" if self._several else ""
        words = f"the {kind} of {self._time(ticks)} in {stay.label}{whose}"
        stages = self._problem.recipe_by_name[recipe].stages
        if sum(stage.label == stay.label for stage in stages) > 1:
            words += f" (stage {move.stage})"
        if source := self._problem.source_of(recipe, move.stage):
            words += f" (source: {source})"
        return Demand(kind, words, recipe, move.stage)

    def _standing(self, name: str, ticks: int) -> str:
        return f"the {self._time(ticks)} every carrier stands at {name} at least"

    def _time(self, ticks: int) -> str:
        time = readable(Fraction(ticks) / self._instance.ticks_per_unit)
        return f"{time} {self._problem.unit}"
