"""Rounds of simulated annealing, each followed by a look into neighbourhoods."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from ....base.clock import LOOK_EVERY, Clock
from ....base.effort import Stop
from ....instance import Instance
from ....schedule import Schedule
from ...compiling import NoTimeToCompile
from ..incumbent import Incumbent
from ..neighbourhoods import PATIENCE, Neighbourhoods
from .chain import Ints, chain_of

FIRST_LOOKS = 12
"""Neighbourhoods of the incumbent that are searched before the first round."""

BOLD, NEAR = 0.9, (0.965, 0.995)
"""Cycle times that rounds aim at, as parts of the incumbent's.

The first as long as that succeeds, then any in the range.
"""

WORTHWHILE = 1.03
"""Schedules up to so many times as long as the incumbent have their neighbourhoods searched."""

TRIALS, HARDER, IN_VAIN = 10_000_000, 1.5, 4
"""Shifts tried in a round; after `IN_VAIN` rounds in vain, `HARDER` times as many.

A round that aims at the first of the cycle times tries a third of them.
"""

HOT, COLD, SURCHARGE = 2.7, 0.09, 1.4
"""First and last temperature, and surcharge of an overlap, in mean durations of a loaded move."""

STEPS = 100
"""Temperatures in a round."""

TIRED, REST = 10, 4
"""After `TIRED` rounds without a better incumbent a thread rests `REST` times as long as it works.

The search for bounds then makes better use of the core.
"""

FREE = 20
"""Moves, at the least, around overlaps whose order is free when a schedule is repaired."""


class Annealing:
    """Simulated annealing for a line of one load a cycle, from scratch time and again.

    A round places the moves in a cycle shorter than the incumbent's, with as little overlap as
    it can. CP-SAT then looks for a schedule that keeps their order, apart from moves near an
    overlap. It may be a little longer than the incumbent, as its neighbourhoods may hold a
    better one. After a round in vain a neighbourhood of the incumbent is searched.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place.
    seed : int
    clock : Clock, optional
        Ends the search when it is over.
    """

    def __init__(
        self, instance: Instance, incumbent: Incumbent, seed: int, clock: Clock | None = None
    ) -> None:
        self.instance, self.incumbent = instance, incumbent
        self._stop = Stop()
        self._clock = (Clock() if clock is None else clock).part(stop=self._stop)
        self.near = Neighbourhoods(instance, incumbent, seed, self._clock)
        self.other: Neighbourhoods | None = None
        self._chain = chain_of(instance)
        self._random = np.random.default_rng(seed)
        self._trials = TRIALS
        self._looks = FIRST_LOOKS
        self._bold = True
        self._cold = False  # whether there is no time to compile what a round needs
        self._vain = 0
        self._rounds, self._best = 0, incumbent.best

    def search(self, after: Callable[[], None] = lambda: None) -> None:
        """Search until the clock is over, or told to stop by another thread.

        Parameters
        ----------
        after : callable, optional
            Called after each look.
        """
        while not self._clock.over:
            begun = time.perf_counter()
            self.look()
            after()
            if self._rounds >= TIRED:
                self._rest(REST * (time.perf_counter() - begun))

    def _rest(self, seconds: float) -> None:
        ends = time.perf_counter() + seconds
        while not self._clock.over and time.perf_counter() < ends:
            self._stop.wait(min(seconds, LOOK_EVERY))

    def stop(self) -> None:
        """End the search, soon."""
        self._stop.set()
        for place in (self.near, self.other):
            if place is not None:
                place.stop()

    def look(self) -> None:
        """Search one neighbourhood, or run a round."""
        if self.incumbent.schedule is None:
            self._stop.set()  # no cycle time to aim at
        elif self.other is not None:
            self._look_near_other(self.other)
        elif self._looks > 0 or self._cold:
            self._looks -= 1
            self.near.look()
        else:
            try:
                self._round(self.incumbent.schedule.cycle)
            except NoTimeToCompile:
                self._cold = True

    def _look_near_other(self, other: Neighbourhoods) -> None:
        other.look()
        found = other.incumbent.schedule
        if found is not None:
            self.incumbent.keep(found, other.incumbent.values)
        if other.in_vain >= PATIENCE:
            self.other = None

    def _round(self, best: int) -> None:
        """Make a schedule from scratch; keep it, or have its neighbourhoods searched next."""
        self._rounds = self._rounds + 1 if best == self._best else 0
        self._best = best
        part = BOLD if self._bold else self._random.uniform(*NEAR)
        cycle = max(self.incumbent.bound, int(part * best))
        found = None
        starts = self._annealed(cycle)
        if starts is not None:
            below = best if self._bold else int(WORTHWHILE * best)
            found = self._repaired(starts, cycle, below)
        if found is None:
            self._failed()
            return
        self._vain = 0
        if self._bold:
            self.incumbent.keep(found, [])
        else:
            own = Incumbent(self.incumbent.lowest)
            own.keep(found, [])
            seed = int(self._random.integers(1 << 30))
            self.other = Neighbourhoods(self.instance, own, seed, self._clock)

    def _failed(self) -> None:
        self._looks = 1
        self._bold = False
        self._vain += 1
        if self._vain == IN_VAIN:
            self._trials, self._vain = int(HARDER * self._trials), 0

    def _annealed(self, cycle: int) -> Ints | None:
        """Return starts with little overlap for a cycle time; None where no load keeps it."""
        from .kernel import anneal

        chain = self._chain
        most = chain.longest(cycle)
        if (most < chain.least).any():
            return None
        unit = float(np.mean([move.shortest for move in self.instance.moves]))
        starts = chain.soonest()
        best, lowest = starts.copy(), 1 << 60
        trials = (self._trials // 3 if self._bold else self._trials) // STEPS
        for temperature in unit * np.geomspace(HOT, COLD, STEPS):
            if self._clock.over:
                return None
            lowest = anneal(
                starts, cycle, chain.gaps, chain.least, most, temperature,
                round(SURCHARGE * unit), max(1, round(unit)), trials, self._random, best, lowest,
            )  # fmt: skip
            if lowest == 0:
                break
        return best

    def _repaired(self, starts: Ints, cycle: int, below: int) -> Schedule | None:
        """Return a schedule below a cycle time in much the same order, or None if none is found."""
        from .kernel import overlaps

        order = np.argsort((starts - starts[0]) % cycle, kind="stable").tolist()
        overlapping = overlaps(starts, cycle, self._chain.gaps).any(axis=0)
        place = np.empty(len(order), np.int64)
        place[order] = np.arange(len(order))
        apart = np.abs(place[:, None] - place[overlapping][None])
        apart = np.minimum(apart, len(order) - apart).min(axis=1, initial=len(order))
        nearest = np.argsort(apart, kind="stable")[:FREE].tolist()
        free = {*nearest, *np.flatnonzero(overlapping).tolist()} if overlapping.any() else set()
        return self.near.in_order(order, free, below)
