"""How long loads drip on their moves, as the recipes say: a log shows it as part of the move."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise, product

from ..checker.grid.clock import Clock
from ..checker.grid.motion import Timetable
from ..problem import Problem

Pair = tuple[str, str]


def drips(problem: Problem) -> dict[Pair, frozenset[Decimal]]:
    """For each move of a load the times that it may drip; several, where recipes differ."""
    hoist = problem.hoists[0]
    table = Timetable(problem, Clock(problem, Fraction(1)), hoist)
    found: dict[Pair, set[Decimal]] = {}
    for recipe in problem.recipes:
        ways: list[tuple[tuple[str, ...], Decimal]]
        ways = [((problem.load_station(recipe).name,), Decimal(0))]
        ways += [(stage.station, Decimal(stage.drip)) for stage in recipe.stages]
        last = problem.unload_station(recipe).name
        ways.append(((last,), Decimal(0)))
        if problem.carriers.return_ == "hoist":
            ways.append((ways[0][0], Decimal(0)))
        for (sources, drip), (targets, _) in pairwise(ways):
            for pair in product(sources, targets):
                asked = [crossing.min_drip or Decimal(0) for crossing, _ in table.crossed(*pair)]
                found.setdefault(pair, set()).add(max([drip, *asked]))
    return {pair: frozenset(times) for pair, times in found.items()}
