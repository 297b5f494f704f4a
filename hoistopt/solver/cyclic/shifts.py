"""Better schedules near the best one, where a cycle has many loads.

Moves may change places with others a little before or after them, in the order of the whole
cycle or of a part of it, while every load keeps its tanks. What may change is chosen by
pairs of moves, so that even a hundred moves leave a small question to CP-SAT: large
neighbourhood search (Shaw 1998, CP98, LNCS 1520, 417-431) in permutations with bounded
shifts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import suppress
from itertools import combinations
from random import Random

from ...base.clock import Clock, OutOfTime
from ...base.effort import Stop
from ...instance import Instance
from ...schedule import Schedule
from ..cpsat import new_solver, run_solver
from ..model.build import build_model
from ..model.decode import decode, starts_of
from .incumbent import Incumbent
from .starts.groups import held_to

MOST_WORK = 2.0
"""CP-SAT's work on one neighbourhood, in its own measure (about a second)."""

QUICK = 0.7
"""A neighbourhood searched to its end with so much work makes the next one larger."""

LOADING = 1e-4
"""Work that it takes to begin with a neighbourhood, by pair of moves, which CP-SAT's own measure
leaves out: a second for a hundred moves."""

PATIENCE = 20
"""So many looks in vain, and it is for others to go on."""

_Free = Callable[[int, int], bool]
_Kind = Callable[[Sequence[int], int], _Free]


def shift(instance: Instance, incumbent: Incumbent, clock: Clock, looks: int, work: float) -> None:
    """Look into so many neighbourhoods of the best schedule, in every thread of the clock.

    A thread ends sooner once its looks took so much work, in CP-SAT's own measure.

    What fails in one of them ends the others and is raised here.
    """
    enough = Stop()
    part = clock.part(stop=enough)
    with ThreadPoolExecutor(clock.workers) as pool:
        try:
            searches = [
                pool.submit(
                    Shifts(instance, incumbent, clock.seed + number).search, part, looks, work
                )
                for number in range(clock.workers)
            ]
            for done in as_completed(searches):
                done.result()
        finally:
            enough.set()


class Shifts:
    """Looks into one neighbourhood of the best schedule after another.

    `in_vain` counts the looks since one found something better; `worked` is the work of all.
    """

    def __init__(self, instance: Instance, incumbent: Incumbent, seed: int) -> None:
        self.instance, self.incumbent = instance, incumbent
        self.in_vain, self.worked = 0, 0.0
        self._random = Random(seed)
        self._sizes: dict[_Kind, int] = {self._everywhere: 3, self._one_load: 8, self._in_time: 24}
        self._tanks: list[tuple[int, int]] = []

    def search(self, clock: Clock, looks: int, work: float = math.inf) -> None:
        """Look so often, or until the work is done, too many looks were in vain, or time is up."""
        with suppress(OutOfTime):
            for _ in range(looks):
                if clock.over or self.incumbent.closed:
                    return
                if self.in_vain >= PATIENCE or self.worked >= work:
                    return
                self.look(clock)

    def look(self, clock: Clock) -> None:
        """Look into one neighbourhood, and keep what is better."""
        schedule = self.incumbent.schedule
        assert schedule is not None, "neighbourhoods are those of a schedule"
        self._hold(schedule, clock)
        starts = starts_of(self.instance, schedule)
        order = sorted(range(len(starts)), key=starts.__getitem__)
        kind = self._random.choice(list(self._sizes))
        free = kind(order, self._sizes[kind])
        variables = self._variables
        model = variables.model.clone()
        model.add_bool_and(
            variables.before(a, b) for a, b in combinations(order, 2) if not free(a, b)
        )
        model.add(variables.cycle < schedule.cycle)
        part = clock.part(seed=self._random.randrange(1000))
        solver = new_solver(part, work=MOST_WORK, plainly=True)
        status = run_solver(solver, model, part)
        if not part.over:  # else it may not have begun
            self.worked += solver.response_proto.deterministic_time + LOADING * len(starts) ** 2
        if status in ("optimal", "feasible"):
            self.incumbent.keep(decode(variables, solver.value), [])
            self.in_vain = 0
            return
        self.in_vain += 1
        if status == "infeasible" and solver.response_proto.deterministic_time < QUICK:
            self._sizes[kind] += 2 if kind == self._in_time else 1
        elif status == "unknown":
            self._sizes[kind] = max(2, self._sizes[kind] - 1)

    def _hold(self, schedule: Schedule, clock: Clock) -> None:
        """Have a model in which every load keeps the tanks it has in a schedule."""
        held = held_to(self.instance, schedule)
        tanks = [(move.routes[0].source, move.routes[0].target) for move in held.moves]
        if tanks != self._tanks:
            self._variables = build_model(
                held, schedule.cycle, lowest=self.incumbent.lowest, clock=clock
            )
            self._variables.model.minimize(self._variables.cycle)
            self._tanks = tanks

    # -- which pairs of moves may change their order --------------------------------

    def _everywhere(self, order: Sequence[int], reach: int) -> _Free:
        """Any two moves with less than so many others between them."""
        place = {move: number for number, move in enumerate(order)}
        count = len(order)

        def free(a: int, b: int) -> bool:
            apart = (place[a] - place[b]) % count
            return min(apart, count - apart) <= reach

        return free

    def _one_load(self, order: Sequence[int], reach: int) -> _Free:
        """The moves of one load against those near them."""
        near = self._everywhere(order, reach)
        job = self._random.randrange(self.instance.jobs)
        mine = {move.index for move in self.instance.moves if move.job == job}
        return lambda a, b: (a in mine or b in mine) and near(a, b)

    def _in_time(self, order: Sequence[int], size: int) -> _Free:
        """So many moves that follow one another, among themselves."""
        first, count = self._random.randrange(len(order)), len(order)
        among = {order[(first + step) % count] for step in range(min(size, count))}
        return lambda a, b: a in among and b in among
