"""A published reading of several hoists, as a model of its own for CP-SAT.

Hoists are numbered along the track, moves in the order of a load's way. Of two moves the one
that comes later on the way may overlap the other in any manner if it is made by a hoist of a
higher number. Otherwise one of them ends, and the empty travel from its end to where the other
begins fits in, before the other starts, in the same cycle and from cycle to cycle. Nothing else
is asked of hoists: not of where they are between moves, nor of two in one place. So for tanks
that stand along the track in the order of the way it asks less than a rule that follows
positions, and its least cycle time is a lower bound for that one.

Source: M. Wallace and N. Yorke-Smith (2020), A new constraint programming model and solving for
the cyclic hoist scheduling problem, Constraints 25, 319-337; instances of the 2020 MiniZinc
Challenge. Stated here in own words and worked out anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model


@dataclass(frozen=True)
class Way:
    """The one recipe of a line, in whole times.

    Attributes
    ----------
    windows : sequence of (int, int or None)
        Least and greatest dwell in each stage, in order.
    loaded : sequence of int
        Each move, from the load station to that back to it: one more than there are stages.
    empty : sequence of sequence of int
        ``empty[i][j]``: empty travel from where move i ends to where move j begins.
    """

    windows: Sequence[tuple[int, int | None]]
    loaded: Sequence[int]
    empty: Sequence[Sequence[int]]


def least_cycle(
    way: Way, hoists: int, places: int = 1, most_others: int = 9, seconds: float = 60
) -> tuple[int | None, int]:
    """The least cycle time found, and the bound that is proved.

    Parameters
    ----------
    hoists : int
    places : int
        Loads that a tank holds at once.
    most_others : int
        Loads in process when another one is lifted at the load station.
    """
    count = len(way.loaded)
    model = cp_model.CpModel()
    horizon = sum(way.loaded) + sum(max(row) for row in way.empty)
    horizon += sum(low for low, _ in way.windows)
    cycle = model.new_int_var(1, horizon, "cycle")
    starts = [model.new_int_var(0, horizon, f"start {i}") for i in range(count)]
    by = [model.new_int_var(1, hoists, f"hoist {i}") for i in range(count)]
    model.add(starts[0] == 0)
    for i in range(count):
        model.add(starts[i] < cycle)
        for j in range(i):
            _apart(model, way, starts, by, cycle, i, j)
    turns = [_stay(model, way, starts, cycle, i, places) for i in range(1, count)]
    model.add(sum(turns) <= most_others)
    model.minimize(cycle)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, round(solver.best_objective_bound)
    return round(solver.objective_value), round(solver.best_objective_bound)


def _apart(
    model: cp_model.CpModel,
    way: Way,
    starts: Sequence[cp_model.IntVar],
    by: Sequence[cp_model.IntVar],
    cycle: cp_model.IntVar,
    i: int,
    j: int,
) -> None:
    """Moves i > j: free if i has the higher hoist, else one after the other."""
    free, first, second = (model.new_bool_var("") for _ in range(3))
    model.add_exactly_one(free, first, second)
    model.add(by[i] > by[j]).only_enforce_if(free)
    for chosen, a, b in ((first, j, i), (second, i, j)):
        model.add(starts[b] >= starts[a] + way.loaded[a] + way.empty[a][b]).only_enforce_if(chosen)
        model.add(starts[a] + cycle >= starts[b] + way.loaded[b] + way.empty[b][a]).only_enforce_if(
            chosen
        )


def _stay(
    model: cp_model.CpModel,
    way: Way,
    starts: Sequence[cp_model.IntVar],
    cycle: cp_model.IntVar,
    i: int,
    places: int,
) -> cp_model.IntVar:
    """The dwell before move i, within its window; the cycles it goes across."""
    low, high = way.windows[i - 1]
    most = places + 1  # one more where the load is set down in the cycle after it was lifted
    turns = model.new_int_var(0, most, f"turns {i}")
    arrives = starts[i - 1] + way.loaded[i - 1]
    for turn in range(most + 1):
        chosen = model.new_bool_var("")
        model.add(turns == turn).only_enforce_if(chosen)
        model.add(turns != turn).only_enforce_if(~chosen)
        dwell = starts[i] + turn * cycle - arrives
        model.add(dwell >= low).only_enforce_if(chosen)
        if high is not None:
            model.add(dwell <= high).only_enforce_if(chosen)
        # The load so many places later is set down after this one is lifted.
        model.add(dwell <= places * cycle).only_enforce_if(chosen)
    return turns
