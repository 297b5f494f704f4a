"""Arcs, and the pieces of a circuit, in the words of the trade."""

from __future__ import annotations

from ..instance import Instance
from ..problem import Problem
from .arc import Arc, Part
from .pattern import Pattern
from .timed_plan import Dwell, TimedPlan


class Words:
    """Names what a part of an arc is about.

    Loads are numbered, and recipes named, where there is more than one.
    """

    def __init__(self, problem: Problem, instance: Instance, pattern: Pattern) -> None:
        self._problem = problem
        self._instance = instance
        self._pattern = pattern
        entering = [m for m in pattern.order if m in set(instance.first_moves)]
        self._numbers = {instance.moves[m].job: n for n, m in enumerate(entering, start=1)}

    def stations(self, part: Part) -> tuple[str, ...]:
        """Where it happens: one station, or from where to where."""
        if part.what == "limit" or part.move is None:
            return ()
        route = self._pattern.routes[part.move]
        source, target = self._name(route.source), self._name(route.target)
        if part.what in ("loaded", "rounding", "float"):
            return source, target
        if part.what in ("empty", "return"):
            assert part.to is not None
            return target, self._name(self._pattern.routes[part.to].source)
        if part.what in ("occupation", "rest"):
            return (part.label,)
        return (target,)

    def load(self, part: Part) -> int | None:
        """The number of the load that a part is about; None where it is about none."""
        none = ("empty", "occupation", "rest", "return", "float", "slack")
        if part.move is None or part.what in none:
            return None
        return self._numbers[self._instance.moves[part.move].job]

    def stage(self, part: Part) -> str | None:
        """The stage whose minimum or maximum it is, with its station where that differs."""
        return self._stage(part) if part.what in ("minimum", "maximum") else None

    def phrase(self, part: Part) -> str:
        """What a part of the length of an arc is, in words, without its time."""
        where = self.stations(part)
        if part.what == "loaded":
            return f"{self._lifted(part)} from {where[0]} to {where[1]}"
        if part.what == "empty":
            return f"hoist empty from {where[0]} to {where[1]}"
        if part.what in ("minimum", "maximum"):
            return f"{self._stage(part)} {part.what}{self._whose(part)}{self._source(part)}"
        if part.what == "occupation":
            return f"{part.label} minimum occupation"
        if part.what == "rest":
            return f"{part.label} rest"
        if part.what == "return":
            return f"carrier back from {where[0]} to {where[1]}, minimum occupation included"
        if part.what == "float":
            return f"float kept after the move from {where[0]} to {where[1]}"
        if part.what == "slack":
            return f"margin kept below the maximum of {self._stage(part)}"
        if part.what == "rounding":
            return f"rounding of the move from {where[0]} to {where[1]}"
        return "minimum cycle time" if part.time > 0 else "maximum cycle time"

    def _name(self, place: int) -> str:
        return self._instance.places[place].name

    def _stage(self, part: Part) -> str:
        assert part.stay is not None
        stay = self._instance.stays[part.stay]
        (station,) = self.stations(part)
        return station if stay.label == station else f"{stay.label} ({station})"

    def _source(self, part: Part) -> str:
        """Where the window comes from, if the problem file says so."""
        assert part.stay is not None
        move = self._instance.moves[self._instance.stays[part.stay].departure]
        recipe = self._instance.recipes[move.job]
        if move.stage > len(self._problem.recipe_by_name[recipe].stages):
            return ""
        source = self._problem.source_of(recipe, move.stage, *self.stations(part))
        return f" (source: {source})" if source else ""

    def _whose(self, part: Part) -> str:
        named = self._named(part)
        return f" ({named})" if named else ""

    def _named(self, part: Part) -> str:
        """The load, where there is more than one."""
        number = self.load(part)
        if number is None or part.move is None or self._instance.jobs == 1:
            return ""
        recipe = self._instance.recipes[self._instance.moves[part.move].job]
        several = len(set(self._instance.recipes)) > 1
        return f"load {number}" + (f" of {recipe}" if several else "")

    def _lifted(self, part: Part) -> str:
        assert part.move is not None
        move = self._instance.moves[part.move]
        stages = self._problem.recipe_by_name[self._instance.recipes[move.job]].stages
        drips = 1 <= move.stage <= len(stages) and stages[move.stage - 1].drip > 0
        named = self._named(part)
        return ("lift, drip and carry" if drips else "lift and carry") + (named and f" {named}")


def reason(plan: TimedPlan, limit: Arc | Dwell) -> str:
    """What stands against a later start: "hoist for step 5", "minimum in Rinse 1", ..."""
    if isinstance(limit, Dwell):
        return f"maximum in {limit.label}"
    after = plan.steps[limit.head]
    if limit.rule == "hoist":
        return f"hoist for step {limit.head + 1}"
    if limit.rule == "distance":
        return f"distance to the hoist of step {limit.head + 1}"
    if limit.rule == "minimum":
        dwell = next((d for d in plan.dwells if d.departure == limit.head), None)
        return f"minimum in {after.source if dwell is None else dwell.label}"
    if limit.rule == "rest":
        return f"rest of {after.target}"
    if limit.rule == "station":
        return f"minimum in {after.target if plan.stages[limit.head] else after.source}"
    return f"carrier for step {limit.head + 1}"
