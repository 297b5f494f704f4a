"""A bound on the mean time per load that holds at every degree, without search.

Each bound of `bounds.py` is the cheapest way to give every event of a cycle a next one. At
degree k there are k copies of every event of one set of loads. Replace each copy by its
event: of every succession only the cheapest pair of copies counts. What is left is k times
a doubly stochastic matrix over the events of one set, which costs at least k times the
cheapest assignment (Birkhoff 1946). Two sets of loads show every pair there is: within one
set, and between two.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ..base.clock import Clock
from ..instance import Instance
from .bounds import cheapest_assignment, return_costs, succession_costs, turn_costs
from .model import several_bounds


def least_per_set(instance: Instance, clock: Clock | None = None) -> Fraction:
    """Return ticks for a set of loads that no cycle of any degree is below.

    Parameters
    ----------
    instance : Instance
        Of the line at degree 2 or higher.

    Raises
    ------
    OutOfTime
        When the clock is over.
    ValueError
        When the instance has one set of loads only.
    """
    if instance.degree < 2:
        raise ValueError("an instance of two sets of loads at least")
    sets = instance.degree
    best = Fraction(max(1, instance.shortest), sets)
    count = len(instance.moves) // sets
    events = range(len(instance.moves))
    if instance.several is not None:
        work = _least(several_bounds.succession_costs(instance), events, events, count)
        return max(best, Fraction(work, len(instance.several)))
    best = max(best, Fraction(_least(succession_costs(instance), events, events, count)))
    if clock is not None:
        clock.check()
    for inside, capacity, turns in turn_costs(instance):
        of_stay = [stay.arrival for stay in inside]
        first = [stay for stay in inside if stay.arrival < count]
        work = sum(stay.least for stay in first) + _least(turns, of_stay, of_stay, count)
        best = max(best, Fraction(work, capacity))
    for chain, lags in return_costs(instance):
        assert chain.most is not None
        work = _least(lags, chain.sources, chain.targets, count)
        best = max(best, Fraction(work, chain.most))
    return best


def _least(
    costs: Sequence[Sequence[int]], rows: Sequence[int], columns: Sequence[int], count: int
) -> int:
    """The cheapest assignment of the events of one set, each pair at its cheapest copies."""
    row_of = {event: i for i, event in enumerate(sorted({row % count for row in rows}))}
    column_of = {event: j for j, event in enumerate(sorted({col % count for col in columns}))}
    folded: list[list[int | None]] = [[None] * len(column_of) for _ in row_of]
    for row, line in zip(rows, costs, strict=True):
        kept = folded[row_of[row % count]]
        for column, cost in zip(columns, line, strict=True):
            j = column_of[column % count]
            before = kept[j]
            kept[j] = cost if before is None else min(before, cost)
    return cheapest_assignment([[cost for cost in row if cost is not None] for row in folded])
