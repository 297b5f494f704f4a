"""Demands as soft constraints: the model of a line that keeps some of them only."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from fractions import Fraction

from ..base.clock import Clock, OutOfTime
from ..instance import Instance, Stay
from ..instance.several import Matrix
from ..problem import Problem
from ..solver import build_model, horizon, lowest_cycle, run_model, travels_of
from ..solver.model.constraints import Rule
from ..solver.model.decode import decode
from ..solver.model.variables import Variables
from .demands import HOIST, Demand, is_end

PASSING = Fraction(-(10**12))
"""The clearance of hoists that need keep none: how far past one another they may be."""

Rules = Mapping[str, Rule]
"""Rules of the asker's own, by name."""


def soft_model(
    problem: Problem,
    instance: Instance,
    asked: Collection[Demand],
    kept: Collection[Demand],
    *,
    rules: Rules | None = None,
    clock: Clock | None = None,
) -> Variables:
    """Variables and rules of a line that keeps the demands `kept`, out of all `asked`.

    Every demand left out only ever allows more: a schedule that keeps all keeps some.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    line = relaxed(problem, instance, asked, kept)
    low = lowest_cycle(line, clock)
    high = max(low, horizon(instance, clock), line.longest or 0)
    return build_model(line, high, lowest=low, rules=rules, clock=clock)


def can_keep(
    problem: Problem,
    instance: Instance,
    asked: Collection[Demand],
    kept: Collection[Demand],
    clock: Clock | None = None,
    *,
    rules: Rules | None = None,
) -> bool | None:
    """Whether some schedule keeps all demands `kept`; None when the clock was over first.

    None as well where several hoists find no ways in the schedule that was met.
    """
    clock = Clock() if clock is None else clock
    try:
        variables = soft_model(problem, instance, asked, kept, rules=rules, clock=clock)
    except OutOfTime:
        return None
    status, solver = run_model(variables.model, clock)
    if status == "unknown":
        return None
    if status == "infeasible":
        return _refuted(problem, instance, asked, kept, clock, rules)
    line = variables.instance
    travelling = not any(d.kind == "empty" and d not in kept for d in asked)
    if line.several is not None and travelling:
        return None if travels_of(line, decode(variables, solver.value)) is None else True
    return True


def _refuted(
    problem: Problem,
    instance: Instance,
    asked: Collection[Demand],
    kept: Collection[Demand],
    clock: Clock,
    rules: Rules | None,
) -> bool | None:
    """False where no schedule keeps the demands; None where that is not proved.

    What is enough for several hoists to keep apart is not always needed.
    """
    several = instance.several
    if several is None or several.exact or several.asks == "least":
        return False
    least = replace(instance, several=several.asking("least"))
    try:
        variables = soft_model(problem, least, asked, kept, rules=rules, clock=clock)
    except OutOfTime:
        return None
    return False if run_model(variables.model, clock)[0] == "infeasible" else None


def relaxed(
    problem: Problem, instance: Instance, asked: Collection[Demand], kept: Collection[Demand]
) -> Instance:
    """The instance of which only the demands `kept` are asked, out of all `asked`.

    A move whose hoist time is left out is made by a helper, as it were: it takes its
    time, but the hoist of the line may lift another carrier at once. Without empty travel
    the hoist is wherever it is needed as soon as it has lowered a carrier. Without their
    distance several hoists pass one another wherever they meet.
    """
    dropped = [demand for demand in asked if demand.kind in HOIST and demand not in kept]
    helped = {(demand.recipe, demand.stage) for demand in dropped if demand.kind == "loaded"}
    empty = instance.empty
    if any(demand.kind == "empty" for demand in dropped):
        empty = _nowhere(empty)
    several = instance.several
    if several is not None and empty is not instance.empty:
        several = replace(several, empties=tuple(map(_nowhere, several.empties)))
    if several is not None and not all(d in kept for d in asked if d.kind == "distance"):
        several = replace(several, clearance=PASSING)
    return replace(
        without(problem, instance, kept),
        empty=empty,
        several=several,
        helped=frozenset(
            move.index
            for move in instance.moves
            if (instance.recipes[move.job], move.stage) in helped
        ),
    )


def _nowhere(times: Matrix) -> Matrix:
    """No time for any empty travel."""
    return tuple(tuple(0 for _ in row) for row in times)


def without(problem: Problem, instance: Instance, kept: Collection[Demand]) -> Instance:
    """The instance that asks for the demands `kept` only.

    The hoist's own times are left as they are.
    """
    stays = tuple(_stay(problem, instance, stay, kept) for stay in instance.stays)
    stations = {demand.station for demand in kept if demand.kind == "station"}
    resting = {demand.station for demand in kept if demand.kind == "rest"}
    kinds = {demand.kind for demand in kept}
    turnrounds = tuple(
        chain
        if ("return" in kinds if chain.carries and chain.place is None else chain.label in stations)
        else replace(chain, lags=tuple(tuple(0 for _ in row) for row in chain.lags))
        for chain in instance.turnrounds
    )
    return replace(
        instance,
        places=tuple(
            place if place.name in resting else replace(place, rest=Fraction(0))
            for place in instance.places
        ),
        stays=stays,
        turnrounds=turnrounds,
        longest=instance.longest if "longest" in kinds else None,
        shortest=instance.shortest if "shortest" in kinds else 0,
        carriers=instance.carriers if "carriers" in kinds else None,
    )


def _stay(problem: Problem, instance: Instance, stay: Stay, kept: Collection[Demand]) -> Stay:
    move = instance.moves[stay.departure]
    recipe = instance.recipes[move.job]
    if is_end(problem, instance, stay):
        here = any(m.kind == "station" and m.station == stay.label for m in kept)
        return stay if here else replace(stay, least=0)
    kinds = {m.kind for m in kept if (m.recipe, m.stage) == (recipe, move.stage)}
    return replace(
        stay,
        least=stay.least if "minimum" in kinds else 0,
        most=stay.most if "maximum" in kinds else None,
    )


def held_to(instance: Instance, longest: int | None) -> Instance:
    """The instance with its cycle limited to `longest` ticks, unless it is already."""
    if longest is None or (instance.longest is not None and instance.longest <= longest):
        return instance
    return replace(instance, longest=longest)
