"""Rounds of taking moves out and putting them back, cooler and cooler, in every thread."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np

from ....base.clock import Clock
from ....instance import Instance
from ....schedule import Schedule
from ...bounds import horizon
from ...model.decode import decode_starts
from ..annealing.chain import Ints
from ..annealing.loads import can_anneal_loads
from ..annealing.paid import Paid
from ..annealing.tanks import deal_tanks, numbered_as_they_enter
from ..in_threads import InThreads
from ..incumbent import Incumbent
from ..mend import mend
from ..starts.one_by_one import one_by_one
from .arrays import begun, with_options
from .line import Line, Space, Tanks

TRIES, STEPS = 3000, 12
"""Tries in a round, and temperatures."""

LARGEST = 110
"""Moves; with more, tries are fewer by the cube of them."""

MOST_OUT = 50
"""Moves that are taken out at a time, at the most: more are hardly ever put back."""

LONGEST = 1 << 24
"""In ticks, the longest cycle time of interest for which 32 bits have room for all times."""

HOT, COLD = 0.03, 0.003
"""First and last temperature, as parts of the cycle time."""

GENTLE = 0.005, 0.0005
"""The same of a round that is to keep what is good of its schedule."""

SCRATCH, BEST, BEST_GENTLY = 0, 1, 2
HOPES, HOPES_WITH_GENTLE = (0.2, 1.8), (0.2, 0.9, 0.9)
"""Numbers of the ways to begin a round: from scratch, from the best schedule, and gently from that,
which is for lines on which a gentle round has made a schedule given the best; and what is hoped of
each, as of :class:`..annealing.paid.Paid`."""

REACH = 6
"""Where CP-SAT has to mend a schedule, moves so near in the order may change places."""


class Reinsertion(InThreads):
    """Rounds in every thread of a clock, each from the best schedule or from scratch.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place; it has a schedule when rounds are made.
    starts : int
        How many rounds of every thread begin from scratch, before any begin from the best.
    """

    def __init__(
        self, instance: Instance, incumbent: Incumbent, clock: Clock, starts: int = 0
    ) -> None:
        self._all = [
            _Rounds(instance, incumbent, clock.seed + number, clock, starts)
            for number in range(clock.workers)
        ]
        super().__init__(self._all)

    def near_given(self, given: Schedule, rounds: int) -> tuple[int, int]:
        """As :meth:`near`, but gently and from a schedule given, which need not be the best."""
        for thread in self._all:
            thread.given = given
        try:
            return self.near(rounds)
        finally:
            for thread in self._all:
                thread.given = None


class _Rounds:
    """Rounds of one thread.

    Attributes
    ----------
    made, found : int
        Rounds, and those that found something better.
    given : Schedule or None
        What rounds begin from while there is one.
    """

    def __init__(
        self, instance: Instance, incumbent: Incumbent, seed: int, clock: Clock, starts: int
    ) -> None:
        self.instance, self.incumbent, self._clock = instance, incumbent, clock
        self._starts = starts
        self._random = np.random.default_rng(seed)
        self._space: Space | None = None
        self._paid = Paid(HOPES)
        self.given: Schedule | None = None
        self.made = self.found = 0

    def near(self, rounds: int) -> None:
        """Make so many rounds, from the best schedule or from scratch, as has paid so far."""
        for _ in range(rounds):
            if self.incumbent.closed:
                return
            best = self.incumbent.schedule
            assert best is not None, "moves are taken out of a schedule"
            first = self.made < self._starts
            if self.given is not None:
                found = self._round(self.given, GENTLE)
                if found:
                    self._paid = Paid(HOPES_WITH_GENTLE)
            elif first:
                found = self._round(self._from_scratch() or best)
            else:
                way = self._paid.choose(self._random)
                begin = self._from_scratch() or best if way == SCRATCH else best
                found = self._round(begin, GENTLE if way == BEST_GENTLY else (HOT, COLD))
                self._paid.tell(way, 1, int(found))
            self.made += 1
            self.found += found

    def _from_scratch(self) -> Schedule | None:
        """Return one load at a time, in tanks dealt by chance; None where there is no such way."""
        dealt = deal_tanks(self.instance, self._random)
        return None if dealt is None else one_by_one(replace(dealt, longest=None))

    def _round(self, known: Schedule, temperatures: tuple[float, float] = (HOT, COLD)) -> bool:
        """Cool down once from a schedule, keep what is better than the best; whether any was.

        Parameters
        ----------
        temperatures : float, float
            First and last.
        """
        from .kernel import reinsert

        line, option, starts, tells_places = begun(self.instance, known)
        whole = tells_places and says_all(self.instance)
        tanks, space = Tanks.of(option), self._space_for(line)
        best, best_option = starts.copy(), option.copy()
        cycle = shortest = known.cycle
        found, kept = False, self.incumbent.best or cycle
        for temperature in np.geomspace(*temperatures, STEPS):
            self._clock.check()
            space.begin_with(starts, cycle)
            cycle, shortest = reinsert(
                line, tanks, starts, cycle, self.incumbent.bound, temperature, self._tries,
                self._random, space, best, best_option, shortest,
            )  # fmt: skip
            if cycle < 0:
                return False
            if whole and shortest < kept:
                held = with_options(self.instance, line, best_option)
                if self._kept(held, best, shortest):
                    kept, found = shortest, True
        if shortest < min(kept, self.incumbent.best or kept):  # it breaks a rule
            found |= self._mended(with_options(self.instance, line, best_option), best, shortest)
        return found

    @property
    def _tries(self) -> int:
        """How many there are at a temperature: fewer where one takes long, to see a stop soon."""
        moves = len(self.instance.moves)
        return max(1, round(TRIES / STEPS * min(1.0, (LARGEST / moves) ** 3)))

    def _kept(self, held: Instance, starts: Ints, cycle: int) -> bool:
        """Keep a schedule if it is the best and breaks no rule; return whether it was kept."""
        numbered, order = numbered_as_they_enter(held, starts, cycle)
        starts = starts[order]
        return (
            hoist_has_time(numbered, starts, cycle)
            and first_in_first_out(numbered, starts, cycle)
            and self.incumbent.keep(decode_starts(numbered, starts.tolist(), cycle), [])
        )

    def _mended(self, held: Instance, starts: Ints, cycle: int) -> bool:
        """Keep a better schedule that CP-SAT finds in much the same order; whether it did."""
        numbered, order = numbered_as_they_enter(held, starts, cycle)
        none = np.zeros(len(starts), np.bool_)
        part = self._clock.part(seed=int(self._random.integers(1000)))
        return mend(numbered, starts[order], cycle, none, REACH, self.incumbent, part)

    def _space_for(self, line: Line) -> Space:
        from .removal import MANY

        if self._space is None:
            longest = int((line.ends - line.begins).max()) + 1
            self._space = Space.of(len(line.ends), min(MANY + longest, MOST_OUT))
        return self._space


def can_reinsert(instance: Instance) -> bool:
    """Return whether a cycle is of several loads, whose every move but the first follows a dwell.

    Not where moves cost the hoist no time, and not where numbers are too large.
    """
    return can_anneal_loads(instance) and horizon(instance) <= LONGEST


def says_all(instance: Instance) -> bool:
    """Whether the arrays of :mod:`.line` say all rules of a line.

    Then no carriers are counted, no place has to rest, and loads may enter in any order.
    """
    return (
        instance.carriers is None
        and not instance.order_given
        and instance.several is None
        and all(turnround.most is None for turnround in instance.turnrounds)
        and not any(place.rest for place in instance.places)
    )


def hoist_has_time(instance: Instance, starts: Ints, cycle: int) -> bool:
    """Whether the hoist gets from every move to any later one in time.

    Which follows from every move and the next one only where the hoist is nowhere sooner with a
    load than without.

    Parameters
    ----------
    instance : Instance
        Every move on one route.
    starts : array (moves,)
        In ticks, counted on over cycles.
    """
    routes = [move.routes[0] for move in instance.moves]
    sources, targets, takes = (
        np.array([(route.source, route.target, route.duration) for route in routes])
    ).T
    gaps = takes[:, None] + np.array(instance.empty)[targets][:, sources]
    since = (starts[None] - starts[:, None]) % cycle
    np.fill_diagonal(since, cycle)
    return bool((since >= gaps).all())


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
