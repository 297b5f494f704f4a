"""Schedules of several loads from scratch, by simulated annealing, mended by CP-SAT.

Moves are placed in a cycle of given length with as little overlap of the hoist and of loads in a
tank as can be; CP-SAT then looks for the shortest cycle in that order, apart from moves near an
overlap. Long cycles are met without any overlap in a second or two, and in their order a cycle
of a seventh less is often possible, where neighbourhoods take many times as long from one load
at a time. Short cycles are not: there neighbourhoods find more.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from itertools import combinations

import numpy as np

from ....base.clock import Clock, OutOfTime
from ....instance import Instance
from ...compiling import current_guard, use_guard
from ...cpsat import new_solver, run_solver
from ...model.build import build_model
from ...model.decode import decode
from ..incumbent import Incumbent
from ..starts.groups import held_to
from .chain import Ints
from .loads import Loads

TRIALS, STEPS = 3_000_000, 100
"""Shifts tried in a round, and temperatures."""

HOT, COLD, SURCHARGE = 10.0, 0.09, 1.4
"""First and last temperature, and surcharge of an overlap, in mean durations of a loaded move."""

FREE = 20
"""Moves, at the least, around overlaps whose order is free when a schedule is repaired."""

MOST_WORK = 1.0
"""CP-SAT's work on one repair, in its own measure (about a second)."""

BOLD = (0.5, 0.6, 0.75, 0.9)
"""Cycle times aimed at, as parts of one load at a time, until one of them gives a schedule."""

NEAR, ROUNDS = (1.0, 1.1), 1
"""Cycle times aimed at after that, as parts of the best, and how often: the order found
mostly allows for less than what was aimed at."""


def start_by_annealing(instance: Instance, incumbent: Incumbent, clock: Clock) -> bool:
    """Make schedules from scratch in every thread of the clock, and keep the best.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place; it has a schedule, whose tanks are kept.

    Returns
    -------
    bool
        Whether a better one was found.
    """
    before = incumbent.best

    def search(number: int) -> None:
        with suppress(OutOfTime):
            _Rounds(instance, incumbent, clock.seed + number, clock).search()

    with ThreadPoolExecutor(
        clock.workers, initializer=use_guard, initargs=(current_guard(),)
    ) as pool:
        for done in [pool.submit(search, number) for number in range(clock.workers)]:
            done.result()
    return incumbent.best != before


class _Rounds:
    """Rounds of one thread."""

    def __init__(self, instance: Instance, incumbent: Incumbent, seed: int, clock: Clock) -> None:
        assert incumbent.schedule is not None, "the tanks are those of a schedule"
        self.incumbent, self._clock = incumbent, clock
        self._first = incumbent.schedule.cycle
        self._held = held_to(instance, incumbent.schedule)
        self._loads = Loads.of(self._held)
        self._random = np.random.default_rng(seed)

    def search(self) -> None:
        """Aim at shorter and longer cycles until one is found, then at some near the best."""
        for part in BOLD:
            if self._round(int(part * self._first)):
                break
        for _ in range(ROUNDS):
            schedule = self.incumbent.schedule
            assert schedule is not None
            self._round(int(self._random.uniform(*NEAR) * schedule.cycle))

    def _round(self, aim: int) -> bool:
        """Look for a schedule around a cycle time; return whether it is the best."""
        from .kernel import overlaps

        cycle = max(self.incumbent.bound, aim)
        starts = self._annealed(cycle)
        if starts is None:
            return False
        starts = _numbered(self._held, starts, cycle)
        near = overlaps(starts, cycle, self._loads.gaps).any(axis=0)
        return self._repaired(starts, cycle, near | _crowded(self._loads, starts, cycle))

    def _annealed(self, cycle: int) -> Ints | None:
        """Return starts with little overlap for a cycle time; None where no load keeps it."""
        from .loads_kernel import anneal_loads

        held, loads = self._held, self._loads
        most = loads.longest(cycle)
        if (most < loads.least).any():
            return None
        unit = float(np.mean([move.shortest for move in held.moves]))
        jobs = np.array([move.job for move in held.moves])
        starts = loads.soonest() + self._random.integers(0, cycle, held.jobs)[jobs]
        best, lowest = starts.copy(), 1 << 60
        for temperature in unit * np.geomspace(HOT, COLD, STEPS):
            self._clock.check()
            lowest = anneal_loads(
                starts, cycle, loads.gaps, loads.least, most, loads.begins, loads.ends,
                loads.shared, temperature, round(SURCHARGE * unit), max(1, round(unit)),
                TRIALS // STEPS, self._random, best, lowest,
            )  # fmt: skip
            if lowest == 0:
                break
        return best

    def _repaired(self, starts: Ints, cycle: int, overlapping: Ints) -> bool:
        """Keep a better schedule in much the same order, the moves near overlaps free."""
        held, best = self._held, self.incumbent.best
        order = np.argsort((starts - starts[held.first_moves[0]]) % cycle, kind="stable").tolist()
        place = np.empty(len(order), np.int64)
        place[order] = np.arange(len(order))
        free: set[int] = set()
        if overlapping.any():
            apart = np.abs(place[:, None] - place[overlapping][None])
            apart = np.minimum(apart, len(order) - apart).min(axis=1)
            nearest = np.argsort(apart, kind="stable")[:FREE].tolist()
            free = {*nearest, *np.flatnonzero(overlapping).tolist()}
        variables = build_model(held, best, lowest=self.incumbent.lowest, clock=self._clock)
        model = variables.model
        model.add_bool_and(
            variables.before(a, b)
            for a, b in combinations([move for move in order if move not in free], 2)
        )
        if best is not None:
            model.add(variables.cycle < best)
        model.minimize(variables.cycle)
        part = self._clock.part(seed=int(self._random.integers(1000)))
        solver = new_solver(part, work=MOST_WORK, plainly=True)
        if run_solver(solver, model, part) not in ("optimal", "feasible"):
            return False
        return self.incumbent.keep(decode(variables, solver.value), [])


def _crowded(loads: Loads, starts: Ints, cycle: int) -> Ints:
    """Return by move whether it brings or takes a load that meets another in its tank."""
    found = np.zeros(len(starts), np.bool_)
    for move, others in enumerate(loads.shared):
        for other in others[others >= 0]:
            since = (starts[other - 1] - starts[move - 1]) % cycle
            if since < starts[move] - starts[move - 1]:
                found[[move - 1, move, other - 1, other]] = True
    return found


def _numbered(instance: Instance, starts: Ints, cycle: int) -> Ints:
    """Return the starts with like loads numbered as they enter, from that of the first on."""
    moves: dict[int, list[int]] = {}
    for move in instance.moves:
        moves.setdefault(move.job, []).append(move.index)
    origin = starts[instance.first_moves[0]]
    numbered = starts.copy()
    for jobs in instance.alike:
        entering = sorted(
            jobs, key=lambda job: (int(starts[instance.first_moves[job]]) - int(origin)) % cycle
        )
        for job, other in zip(sorted(jobs), entering, strict=True):
            numbered[moves[job]] = starts[moves[other]]
    return numbered
