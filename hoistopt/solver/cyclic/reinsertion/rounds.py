"""Rounds of taking moves out and putting them back, cooler and cooler, in every thread."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from itertools import combinations

import numpy as np

from ....base.clock import Clock, OutOfTime
from ....instance import Instance
from ....schedule import Schedule
from ...compiling import current_guard, use_guard
from ...model.decode import decode_starts, starts_of
from ..annealing.chain import Ints
from ..annealing.loads import Loads, squeezed
from ..annealing.tanks import numbered_as_they_enter, places_taken
from ..incumbent import Incumbent
from ..mend import mend
from ..starts.groups import held_to
from .line import Line, Space
from .removal import MANY

TRIES, STEPS = 3000, 12
"""Tries in a round, and temperatures."""

HOT, COLD = 0.03, 0.001
"""First and last temperature, as parts of the cycle time."""

REACH = 6
"""Where CP-SAT has to mend a schedule, moves so near in the order may change places."""


class Reinsertion:
    """Rounds in every thread of a clock, each going on from where it was left.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place; it has a schedule when rounds are made.
    """

    def __init__(self, instance: Instance, incumbent: Incumbent, clock: Clock) -> None:
        self._incumbent = incumbent
        self._threads = [
            _Rounds(instance, incumbent, clock.seed + number, clock)
            for number in range(clock.workers)
        ]

    def near(self, rounds: int) -> tuple[int, int]:
        """Make so many rounds in every thread.

        Returns
        -------
        int, int
            Rounds made, and how many of them found something better.
        """
        before = self._made

        def run(thread: _Rounds) -> None:
            with suppress(OutOfTime):
                for _ in range(rounds):
                    if self._incumbent.closed:
                        return
                    thread.round()

        guard = current_guard()
        with ThreadPoolExecutor(
            len(self._threads), initializer=use_guard, initargs=(guard,)
        ) as pool:
            for done in [pool.submit(run, thread) for thread in self._threads]:
                done.result()
        made = self._made
        return made[0] - before[0], made[1] - before[1]

    @property
    def _made(self) -> tuple[int, int]:
        threads = self._threads
        return sum(thread.made for thread in threads), sum(thread.found for thread in threads)


class _Rounds:
    """Rounds of one thread.

    Attributes
    ----------
    made, found : int
        Rounds, and those that found something better.
    """

    def __init__(self, instance: Instance, incumbent: Incumbent, seed: int, clock: Clock) -> None:
        self.instance, self.incumbent, self._clock = instance, incumbent, clock
        self._random = np.random.default_rng(seed)
        self._says_all = says_all(instance)
        self._space: Space | None = None
        self.made = self.found = 0

    def round(self) -> bool:
        """Cool down once from the best schedule; return whether a better one was found."""
        from .kernel import reinsert

        known = self.incumbent.schedule
        assert known is not None, "moves are taken out of a schedule"
        before, self.made = self.found, self.made + 1
        held = held_to(self.instance, known)
        starts = np.array(starts_of(held, known))
        places = places_taken(held, starts, known.cycle)
        self._whole = self._says_all and all(
            number >= 0 or held.places[stay.places[0]].capacity is None
            for number, stay in zip(places, held.stays, strict=True)
        )
        loads = Loads.of(held, places)
        starts = squeezed(loads, starts, known.cycle, known.cycle)
        line, space = Line.of(loads), self._space_for(loads)
        best, shortest, kept = starts.copy(), known.cycle, known.cycle
        cycle = known.cycle
        for temperature in np.geomspace(HOT, COLD, STEPS):
            self._clock.check()
            space.begin_with(starts, cycle)
            cycle, shortest = reinsert(
                line, starts, cycle, self.incumbent.bound, temperature, TRIES // STEPS,
                self._random, space, best, shortest,
            )  # fmt: skip
            if cycle < 0:
                return False
            if self._whole and shortest < kept:
                kept = shortest
                self._keep(held, best, shortest)
        if shortest < kept:
            self._keep(held, best, shortest)
        return self.found > before

    def _keep(self, held: Instance, starts: Ints, cycle: int) -> None:
        """Keep a schedule if it is the best, mended by CP-SAT where not all rules are told."""
        numbered, order = numbered_as_they_enter(held, starts, cycle)
        starts = starts[order]
        if self._whole and first_in_first_out(numbered, starts, cycle):
            found = self.incumbent.keep(decode_starts(numbered, starts.tolist(), cycle), [])
        else:
            found = mend(
                numbered, starts, cycle, np.zeros(len(starts), np.bool_), REACH, self.incumbent,
                self._clock.part(seed=int(self._random.integers(1000))),
            )  # fmt: skip
        self.found += found

    def _space_for(self, loads: Loads) -> Space:
        if self._space is None:
            longest = int((loads.ends - loads.begins).max()) + 1
            self._space = Space.of(len(loads.least), MANY + longest)
        return self._space


def says_all(instance: Instance) -> bool:
    """Whether the arrays of :class:`~..annealing.loads.Loads` say all rules of a line.

    Then no carriers are counted, and no place has to rest.
    """
    return (
        instance.carriers is None
        and instance.several is None
        and all(turnround.most is None for turnround in instance.turnrounds)
        and not any(place.rest for place in instance.places)
    )


def first_in_first_out(instance: Instance, starts: Ints, cycle: int) -> bool:
    """Whether loads leave stations of several places in the order in which they came, if asked.

    Parameters
    ----------
    instance : Instance
        Every move on one route.
    starts : array (moves,)
        In ticks, counted on over cycles.
    """
    for station, stays in instance.stays_at.items():
        place = instance.places[station]
        if place.capacity in (None, 1) or not place.fifo:
            continue
        for x, y in combinations(stays, 2):
            came = starts[y.arrival] - starts[x.arrival]
            left = starts[y.departure] - starts[x.departure]
            if came // cycle != left // cycle:
                return False
    return True
