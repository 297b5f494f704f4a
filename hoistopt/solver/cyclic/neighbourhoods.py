"""Large neighbourhood search: better schedules near the incumbent.

The order of some moves is set free, the others keep the incumbent's order among themselves, and
CP-SAT looks for anything better (Shaw 1998, CP98, LNCS 1520, 417-431).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from random import Random

from ortools.sat.python import cp_model

from ...base.clock import Clock
from ...base.effort import Stop
from ...instance import Instance
from ...schedule import Schedule
from ..cpsat import Status, new_solver, run_solver
from ..model.build import build_model
from ..model.decode import decode, starts_of
from .incumbent import Incumbent

WORK = 0.3
"""CP-SAT's work on one neighbourhood at first, in its own measure (about a second)."""

PATIENCE, HARDER = 8, 1.5
"""After `PATIENCE` neighbourhoods in vain, `HARDER` times the work goes into each."""

SMALLEST = 4
"""Free moves, at the least."""

Kind = Callable[[list[int], int], set[int]]


class Looks(ABC):
    """Searches one neighbourhood of the incumbent after another.

    Their sizes follow what CP-SAT can search: one searched to its end makes the next of its
    kind larger now and then, one not searched to its end smaller. Where nothing better is found
    for a while, more work goes into each, and they grow.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place.
    seed : int
    clock : Clock, optional
        Ends the search when it is over.

    Attributes
    ----------
    in_vain : int
        Neighbourhoods since the last better schedule.
    """

    def __init__(
        self, instance: Instance, incumbent: Incumbent, seed: int, clock: Clock | None = None
    ) -> None:
        self.instance, self.incumbent = instance, incumbent
        self._stop = Stop()
        self._clock = (Clock() if clock is None else clock).part(stop=self._stop)
        self._random = Random(seed)
        self._sizes: dict[Kind, int] = {self._in_line: 20, self._in_time: 24, self._anywhere: 16}
        self._work = WORK
        self.in_vain = 0

    def search(self, after: Callable[[], None] = lambda: None) -> None:
        """Search until the clock is over, or told to stop by another thread.

        Parameters
        ----------
        after : callable, optional
            Called after each look.
        """
        while not self._clock.over:
            self.look()
            after()

    def stop(self) -> None:
        """End the search, soon."""
        self._stop.set()

    def until(self, clock: Clock) -> None:
        """Go by another clock from now on."""
        self._clock = clock.part(stop=self._stop)

    def look(self) -> None:
        """Search one neighbourhood, and keep what is better."""
        incumbent = self.incumbent
        if incumbent.schedule is None:
            self._stop.set()  # nothing to begin from
            return
        starts = starts_of(self.instance, incumbent.schedule)
        order = sorted(range(len(starts)), key=starts.__getitem__)
        kind = self._random.choice(list(self._sizes))
        free = kind(order, min(self._sizes[kind], len(order)))
        status = self._try(kind, incumbent.schedule, order, free)
        self.in_vain = 0 if status in ("optimal", "feasible") else self.in_vain + 1
        if self.in_vain and self.in_vain % PATIENCE == 0:
            self._work *= HARDER
        if status == "unknown":
            self._sizes[kind] = max(SMALLEST, self._sizes[kind] - self._random.randrange(2))
        elif status != "feasible" and self._random.random() < 0.3:
            self._sizes[kind] += 1

    @abstractmethod
    def _try(self, kind: Kind, best: Schedule, order: list[int], free: set[int]) -> Status:
        """Search the neighbourhood of a schedule in which some moves are free; keep what is better.

        Returns
        -------
        Status
            Of what is better.
        """

    # -- which moves are free -----------------------------------------------------

    def _in_line(self, order: list[int], size: int) -> set[int]:
        """Return moves of neighbouring stages, of all loads."""
        instance = self.instance
        jobs = instance.jobs
        longest = max(move.stage for move in instance.moves) + 1
        first, stages = self._random.randrange(longest), -(-size // jobs)
        wanted = {(first + step) % longest for step in range(stages)}
        return {move.index for move in instance.moves if move.stage in wanted}

    def _in_time(self, order: list[int], size: int) -> set[int]:
        """Return moves that follow one another."""
        first = self._random.randrange(len(order))
        return {order[(first + step) % len(order)] for step in range(size)}

    def _anywhere(self, order: list[int], size: int) -> set[int]:
        """Return any moves."""
        return set(self._random.sample(order, size))


class Neighbourhoods(Looks):
    """Neighbourhoods of the schedule of one hoist: the order of some moves is free."""

    def __init__(
        self, instance: Instance, incumbent: Incumbent, seed: int, clock: Clock | None = None
    ) -> None:
        super().__init__(instance, incumbent, seed, clock)
        self.variables = build_model(
            instance, incumbent.best, lowest=incumbent.lowest, clock=self._clock
        )
        self.variables.model.minimize(self.variables.cycle)
        self._solver: cp_model.CpSolver | None = None

    def stop(self) -> None:
        """End the search, soon."""
        super().stop()
        if self._solver is not None:
            self._solver.stop_search()

    def _try(self, kind: Kind, best: Schedule, order: list[int], free: set[int]) -> Status:
        del kind
        status, solver = self._run(order, free, best.cycle, self._work)
        if status in ("optimal", "feasible"):
            schedule = decode(self.variables, solver.value)
            self.incumbent.keep(schedule, list(solver.response_proto.solution))
        return status

    def in_order(self, order: list[int], free: set[int], below: int) -> Schedule | None:
        """Find a schedule in which all moves but the free ones keep an order.

        Parameters
        ----------
        order : list of int
            All moves, round the cycle.
        free : set of int
            Moves that may be anywhere in it.
        below : int
            Its cycle has to be shorter than that, in ticks.

        Returns
        -------
        Schedule or None
            None where there is none, or none is found with the work of a first neighbourhood.
        """
        status, solver = self._run(order, free, below, WORK)
        return decode(self.variables, solver.value) if status in ("optimal", "feasible") else None

    def _run(
        self, order: list[int], free: set[int], below: int, work: float
    ) -> tuple[Status, cp_model.CpSolver]:
        model = self.variables.model.clone()
        model.add_bool_and(self._kept(order, free))
        model.add(self.variables.cycle < below)
        clock = self._clock.part(seed=self._random.randrange(1000))
        self._solver = new_solver(clock, work=work, plainly=True)
        return run_solver(self._solver, model, clock), self._solver

    def _kept(self, order: list[int], free: set[int]) -> list[cp_model.IntVar]:
        """Return the variables that, set, keep the moves that are not free in order.

        Every pair is needed: with neighbours only, a free move between them would untie them.
        """
        kept = [move for move in order if move not in free]
        return [
            self.variables.before(earlier, later)
            for place, earlier in enumerate(kept)
            for later in kept[place + 1 :]
        ]
