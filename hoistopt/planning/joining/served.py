"""Orders that the cycle itself serves: loads that it brings in once the line is in step.

A cycle is made over and over, so what is ordered of its recipes is done by it sooner or later.
Such loads need not be in the line when the cycle is joined, unless they would come too late, or
in another order than is asked for.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from ...checker import ProgrammeReplay
from ...schedule import Order


def shared_out(
    orders: Sequence[Order],
    recipes: Collection[str],
    *,
    in_order: bool,
    before: Collection[Order] = (),
) -> tuple[list[Order], list[Order]]:
    """Orders that are done before the cycle is joined, and those that it serves.

    Parameters
    ----------
    orders : sequence of Order
    recipes : collection of str
        Those that the cycle carries.
    in_order : bool
        Whether loads enter in the order of the orders: then only the last ones are served, as
        all loads of the cycle come in after the others.
    before : collection of Order
        Those of them that are done before, whatever their recipe.
    """
    may = [order.recipe in recipes and order not in before for order in orders]
    if in_order:
        last = len(may) - may[::-1].index(False) if False in may else 0
        may = [number >= last for number in range(len(may))]
    kept = [order for order, yes in zip(orders, may, strict=True) if not yes]
    return kept, [order for order, yes in zip(orders, may, strict=True) if yes]


@dataclass(frozen=True)
class Serving:
    """Which loads of a programme serve some orders.

    Attributes
    ----------
    orders : dict of int to Order
        By number of the load.
    late : Fraction
        Sum of weight times lateness, in planned times.
    overdue : frozenset of Order
        Those of which a load is late.
    """

    orders: dict[int, Order]
    late: Fraction
    overdue: frozenset[Order]

    @property
    def due(self) -> dict[int, Fraction]:
        """Due times by number of the load."""
        return {load: order.due for load, order in self.orders.items() if order.due is not None}


def serving(
    orders: Sequence[Order], seen: ProgrammeReplay, taken: Collection[int], *, in_order: bool
) -> Serving | None:
    """Find a load of a programme for each load ordered.

    Those due first are given the first load that enters after their release; in order, each
    the first that enters after the load before.

    Parameters
    ----------
    seen : ProgrammeReplay
        Of a programme that goes over into a cycle, as far as it is written out.
    taken : collection of int
        Loads that are there for something else.

    Returns
    -------
    Serving or None
        None where the programme is not written out far enough.
    """
    enters = {
        run.load: Fraction(run.start)
        for run in seen.runs
        if run.stage == 0 and run.load not in taken and run.load in seen.out
    }
    recipe = {run.load: run.recipe for run in seen.runs}
    free = sorted(enters, key=lambda load: enters[load])
    each = [order for order in orders for _ in range(order.count)]
    if not in_order:
        each.sort(key=lambda order: (order.due is None, order.due or 0, order.release))
    found: dict[int, Order] = {}
    since, late, overdue = Fraction(0), Fraction(0), set[Order]()
    if in_order:
        since = max((run.start for run in seen.runs if run.stage == 0 and run.load in taken),
                    default=since)  # fmt: skip
    for order in each:
        begin = max(since, order.release) if in_order else order.release
        load = next((n for n in free if recipe[n] == order.recipe and enters[n] >= begin), None)
        if load is None:
            return None
        free.remove(load)
        found[load] = order
        if in_order:
            since = enters[load]
        if order.due is not None:
            # In planned times: moves end on a tick, up, and are due on one, down.
            grid = seen.programme.ticks_per_unit
            out, due = ceil(seen.out[load] * grid), floor(order.due * grid)
            late += order.weight * Fraction(max(0, out - due)) / grid
            if out > due:
                overdue.add(order)
    return Serving(found, late, frozenset(overdue))
