"""The limits of a line that could give way: today's figure, and how far each may go."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ..base.numbers.amount import Amount
from ..base.numbers.exact import LARGEST
from ..problem import Problem, Recipe, Stage
from . import edits
from .data import Instance
from .times import HoistTimes

Kind = Literal[
    "min",
    "max",
    "drip",
    "rest",
    "occupation",
    "carriers",
    "return",
    "lift",
    "lower",
    "move",
    "hoist",
]

HALF = Amount(share=Fraction(1, 2))
"""How far the hoist's times may fall where nothing else is said."""

MORE_CARRIERS = 10
"""How many carriers more are thought of where nothing else is said."""


@dataclass(frozen=True)
class Limit:
    """One figure of a line that could give way.

    Attributes
    ----------
    kind : str
        "min" or "max" of a stage and the "drip" after it; "rest" of a tank; least "occupation"
        of a station at an end of the line; number of "carriers", their "return" time; the
        hoist's time to "lift" or "lower" where a station has none of its own; its time for a loaded
        "move" from one station to another, without drip; every time of the "hoist".
    name : str
        What it is, for people.
    today : Decimal
        In the problem's unit; a number for carriers; for the hoist by how many per cent
        all its times are shorter, today 0.
    far : Decimal or None
        As far as it may go; None: without end.
    said : bool
        Whether the problem says how far.
    recipe, stage, station, to, hoist
        Where it belongs to one; `hoist` of several.
    """

    kind: Kind
    name: str
    today: Decimal
    far: Decimal | None
    said: bool = False
    recipe: str = ""
    stage: int = 0
    station: str = ""
    to: str = ""
    hoist: str = ""

    @property
    def rises(self) -> bool:
        """Whether its figure rises as it gives way."""
        return self.kind in ("max", "carriers", "hoist")

    @property
    def room(self) -> Decimal | None:
        """By how much it may give way; None: without end."""
        return None if self.far is None else abs(self.far - self.today)

    @property
    def only_helps(self) -> bool:
        """Whether every schedule of today's line is one of the changed line as well."""
        # After a quicker move a load stands longer in the next tank, and may overstay.
        return self.kind in ("min", "max", "rest", "occupation", "carriers", "return")

    def given(self, amount: Decimal) -> Decimal:
        """The figure after giving way by so much, or as far as it may."""
        if self.rises:
            new = min(LARGEST, self.today + amount)
            return new if self.far is None else min(new, self.far)
        least = Decimal(0) if self.far is None else self.far
        return max(least, self.today - amount)

    def steps(self, amount: Decimal, ticks_per_unit: Fraction) -> int:
        """How many whole ticks an amount is; of carriers, how many; of the hoist, per cents."""
        return int(Fraction(amount) * self._steps_per_unit(ticks_per_unit))

    def stepped(self, steps: int, ticks_per_unit: Fraction) -> Decimal:
        """The figure after giving way by so many ticks, carriers or per cents."""
        by = Fraction(steps) / self._steps_per_unit(ticks_per_unit)
        return self.given(Decimal(by.numerator) / Decimal(by.denominator))

    def _steps_per_unit(self, ticks_per_unit: Fraction) -> Fraction:
        return Fraction(1) if self.kind in ("carriers", "hoist") else ticks_per_unit

    def words(self, new: Decimal | None) -> str:
        """The change to a new figure, for people; None: none any more."""
        if self.kind == "hoist":
            return f"{self.name} {new:f} % shorter"
        if new is None:
            return f"{self.name} of {self.today:f} left out"
        return f"{self.name} from {self.today:f} to {new:f}"

    def changed(self, problem: Problem, new: Decimal | None) -> Problem:
        """The line with that figure instead, on the same grid of planned times.

        Raises
        ------
        InputError
            When the line makes no sense with it.
        """
        if self.kind == "max":
            least = problem.recipe_by_name[self.recipe].stages[self.stage - 1].min
            return edits.with_windows(problem, {(self.recipe, self.stage): (least, new)})
        assert new is not None
        if self.kind == "min":
            most = problem.recipe_by_name[self.recipe].stages[self.stage - 1].max
            return edits.with_windows(problem, {(self.recipe, self.stage): (new, most)})
        if self.kind == "drip":
            return edits.with_drip(problem, self.recipe, self.stage, new)
        if self.kind == "rest":
            return edits.with_rest(problem, self.station, new)
        if self.kind == "occupation":
            return edits.with_occupation(problem, self.station, new)
        if self.kind == "carriers":
            return edits.with_carriers(problem, count=int(new))
        if self.kind == "return":
            return edits.with_carriers(problem, return_time=new)
        if self.kind == "move":
            return edits.with_loaded_time(problem, self.station, self.to, new)
        if self.kind == "hoist":
            return edits.with_quicker_hoist(problem, Fraction(new) / 100, self.hoist)
        return edits.with_hoist(problem, self.hoist, **{self.kind: new})


def limits_of(
    problem: Problem,
    instance: Instance,
    windows: Amount | None = None,
    hoist: Amount | None = HALF,
) -> tuple[Limit, ...]:
    """Every limit of a line that could give way.

    Parameters
    ----------
    windows : Amount, optional
        How far limits may give way of which the problem says nothing, those of the hoist
        excepted; by default minima may fall to 0 and maxima rise without end.
    hoist : Amount, optional
        The same for the hoist's times to lift, to lower and for single moves; None leaves
        them out.
    """
    found = [
        *_windows(problem, windows),
        *_rests(problem, windows),
        *_ends(problem, windows),
        *_drips(problem, windows),
    ]
    if hoist is not None:
        found += [*_lifting(problem, instance, hoist), *_moves(problem, instance, hoist)]
    return tuple(limit for limit in found if limit.room is None or limit.room > 0)


def _fallen(value: Decimal, amount: Amount | None) -> Decimal:
    return Decimal(0) if amount is None else max(Decimal(0), value - amount.of(value))


def _windows(problem: Problem, amount: Amount | None) -> Iterator[Limit]:
    for recipe, number, stage in _stages(problem):
        about = _about(problem, recipe, number, stage)
        place = {"recipe": recipe.name, "stage": number}
        if source := problem.source_of(recipe.name, number):
            about += f" (source: {source})"
        if stage.min > 0:
            given = stage.may_give_min
            far = _fallen(stage.min, amount) if given is None else stage.min - given
            name = f"minimum of {about}"
            yield Limit("min", name, stage.min, far, given is not None, **place)  # type: ignore[arg-type]
        if stage.max is not None and stage.max < LARGEST:
            given = stage.may_give_max
            reach = amount.of(stage.max) if given is None and amount is not None else given
            most = None if reach is None else min(LARGEST, stage.max + reach)
            name = f"maximum of {about}"
            yield Limit("max", name, stage.max, most, given is not None, **place)  # type: ignore[arg-type]


def _rests(problem: Problem, amount: Amount | None) -> Iterator[Limit]:
    used = {name for _, _, stage in _stages(problem) for name in stage.station}
    for station in problem.stations:
        if (rest := station.min_rest) and station.name in used:
            name = f"rest of {station.name}"
            yield Limit("rest", name, rest, _fallen(rest, amount), station=station.name)


def _ends(problem: Problem, amount: Amount | None) -> Iterator[Limit]:
    carriers = problem.carriers
    for station in problem.stations:
        least = station.min_occupation
        if least and (station.capacity != "unlimited" or carriers.count is not None):
            name = f"minimum occupation of {station.name}"
            yield Limit("occupation", name, least, _fallen(least, amount), station=station.name)
    if carriers.count is None:
        return
    more = MORE_CARRIERS if amount is None else 1
    count = Decimal(carriers.count)
    yield Limit("carriers", "carriers", count, count + more)
    if carriers.return_time:
        back = carriers.return_time
        yield Limit("return", "carriers' way back", back, _fallen(back, amount))


def _drips(problem: Problem, amount: Amount | None) -> Iterator[Limit]:
    for recipe, number, stage in _stages(problem):
        if not stage.drip:
            continue
        # What a crossing asks for is a matter of what may drip into what, and does not give.
        needed = [
            crossing.min_drip
            for crossing in problem.crossings
            if crossing.min_drip is not None and set(crossing.from_) & set(stage.station)
        ]
        far = min(stage.drip, max([_fallen(stage.drip, amount), *needed]))
        name = f"drip after {_about(problem, recipe, number, stage)}"
        yield Limit("drip", name, stage.drip, far, recipe=recipe.name, stage=number)


def _lifting(problem: Problem, instance: Instance, amount: Amount) -> Iterator[Limit]:
    several = instance.several is not None
    for number, hoist in enumerate(problem.hoists):
        whose = hoist.name or "" if several else ""
        pairs = _pairs(instance, number)
        for kind, today in (("lift", hoist.lift), ("lower", hoist.lower)):
            if today and any(governs(problem, kind, *pair) for pair in pairs):
                name = f"{whose or 'hoist'}'s time to {kind}"
                yield Limit(kind, name, today, _fallen(today, amount), hoist=whose)  # type: ignore[arg-type]


def governs(problem: Problem, kind: str, source: str, target: str) -> bool:
    """Whether the hoist's own time to lift or lower is part of a loaded move."""
    if (source, target) in problem.loaded_times:
        return False
    own = problem.station_by_name[source if kind == "lift" else target]
    return (own.lift if kind == "lift" else own.lower) is None


def _moves(problem: Problem, instance: Instance, amount: Amount) -> Iterator[Limit]:
    if instance.several is not None:
        return  # a shorter time for one would be one for all, of which each has its own
    times = HoistTimes(problem)
    for source, target in _pairs(instance):
        today = problem.loaded_times.get((source, target))
        if today is None:
            planned = Fraction(times.loaded(source, target, Decimal(0)).planned) / times.grid
            today = Decimal(planned.numerator) / Decimal(planned.denominator)
        if today:
            name = f"move from {source} to {target}"
            far = _fallen(today, amount)
            yield Limit("move", name, today, far, station=source, to=target)


def _pairs(instance: Instance, hoist: int = 0) -> list[tuple[str, str]]:
    """From where to where a hoist may carry loads, each once."""
    return list(
        dict.fromkeys(
            (instance.places[route.source].name, instance.places[route.target].name)
            for move in instance.moves
            for route in move.routes
            if route.hoist == hoist
        )
    )


def _stages(problem: Problem) -> Iterator[tuple[Recipe, int, Stage]]:
    used = set(problem.load_set)
    for recipe in problem.recipes:
        if recipe.name in used:
            for number, stage in enumerate(recipe.stages, start=1):
                yield recipe, number, stage


def _about(problem: Problem, recipe: Recipe, number: int, stage: Stage) -> str:
    text = stage.label
    if sum(other.label == stage.label for other in recipe.stages) > 1:
        text += f" (stage {number})"
    if len(set(problem.load_set)) > 1:
        text += f" of {recipe.name}"
    return text
