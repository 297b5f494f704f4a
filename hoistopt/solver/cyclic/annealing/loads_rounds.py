"""Schedules of several loads from scratch, by simulated annealing, mended by CP-SAT.

Moves are placed in a cycle of given length with as little overlap of the hoist and of loads in a
tank as can be; CP-SAT then looks for a cycle hardly longer in much the same order, apart from moves
near an overlap. What pays is to aim at cycle times that leave a few moves near an overlap: shorter
ones are repaired in vain, and longer ones give what is longer. After every round the next one aims
a little higher or lower, by how many moves it left near an overlap; one that left too many is not
repaired. Other rounds begin with the best schedule known instead, squeezed into a shorter cycle,
and cooler. The way that has found more so far comes more often (:mod:`.paid`).
"""

from __future__ import annotations

import numpy as np

from ....base.clock import Clock
from ....instance import Instance
from ....schedule import Schedule
from ...model.decode import starts_of
from ..in_threads import InThreads
from ..incumbent import Incumbent
from ..mend import mend
from ..starts.groups import held_to
from .chain import Ints
from .loads import Loads, squeezed
from .paid import Paid
from .tanks import deal_tanks, numbered_as_they_enter, place_numbers

TRIALS, STEPS = 3_000_000, 100
"""Shifts tried in a round, and temperatures."""

HOT, WARM, COLD, SURCHARGE = 4.0, 2.0, 0.09, 1.4
"""First temperature from scratch and from the best schedule, last temperature, and surcharge of
an overlap, in mean durations of a loaded move."""

REACH = 6
"""In a repair, moves so near in the order may change places."""

FEW = 0.15
"""Part of the moves near an overlap, with more of which a repair is mostly in vain. The next round
aims at a longer cycle then, and else at a shorter one."""

LONGEST_AIM, GAIN, SPREAD = 1.08, 0.3, 0.03
"""The longest cycle time aimed at, as a part of the best, where the first aim is; by what share a
round changes it where all moves are near an overlap rather than few; how far from it, as a share,
an aim may be."""

SHORTER = (0.95, 1.0)
"""Cycle times into which the best schedule is squeezed, as parts of its own."""

SCRATCH, HOPES = 0, (1.5, 0.5)
"""Number of the first of the two ways, from scratch and from the best schedule squeezed; and what
is hoped of each, as of :class:`.paid.Paid`: what is squeezed first is mostly a regular cycle,
which stays as it is."""

TIRED = 50
"""Rounds in vain, and it is for others to go on."""


class LoadsAnnealing(InThreads):
    """Rounds in every thread of a clock, each going on from where it was left.

    Each aims at cycle times near the best; less often if in vain.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place.
    """

    def __init__(self, instance: Instance, incumbent: Incumbent, clock: Clock) -> None:
        super().__init__(
            [
                _Rounds(instance, incumbent, clock.seed + number, clock)
                for number in range(clock.workers)
            ]
        )


class _Rounds:
    """Rounds of one thread, each with tanks of its own.

    Attributes
    ----------
    in_vain : int
        Rounds since the last one that found something better.
    share : float
        Part of the moves that the last round left near an overlap.
    made, found : int
        Rounds, and those that found something better.
    """

    def __init__(self, instance: Instance, incumbent: Incumbent, seed: int, clock: Clock) -> None:
        self.instance, self.incumbent, self._clock = instance, incumbent, clock
        self._random = np.random.default_rng(seed)
        self._paid = Paid(HOPES)
        self._aim: float | None = None  # the middle of the cycle times aimed at, in ticks
        self.share = 1.0
        self.in_vain = self.made = self.found = 0

    @property
    def tired(self) -> bool:
        """Whether so many rounds were in vain that the time is better spent elsewhere."""
        return self.in_vain >= TIRED

    def near(self, rounds: int) -> None:
        """Aim so often at cycle times near the best."""
        for _ in range(rounds):
            best, known = self.incumbent.best, self.incumbent.schedule
            if best is None or self.incumbent.closed or self.tired:
                return
            way = SCRATCH if known is None else self._paid.choose(self._random)
            if known is None or way == SCRATCH:
                found = self._from_scratch()
            else:
                found = self.round(round(self._random.uniform(*SHORTER) * known.cycle), known)
            self._paid.tell(way, 1, found)

    def _from_scratch(self) -> bool:
        """Aim once at a cycle time that leaves few moves near an overlap, or nearly so."""
        best = self.incumbent.best
        assert best is not None, "cycle times aimed at are near some schedule's"
        middle = min(LONGEST_AIM * best, self._aim or best)
        found = self.round(round(middle * self._random.uniform(1 - SPREAD, 1 + SPREAD)))
        self._aim = middle * (1 + GAIN * (self.share - FEW))
        return found

    def round(self, aim: int, known: Schedule | None = None) -> bool:
        """Look for a schedule around a cycle time; return whether it is the best.

        Parameters
        ----------
        known : Schedule, optional
            Begin with it, squeezed into the cycle time, its tanks kept; else from scratch.
        """
        from .kernel import overlaps

        cycle = max(self.incumbent.bound, aim)
        self.in_vain += 1
        self.made += 1
        self.share, instance = 1.0, self.instance
        dealt = deal_tanks(instance, self._random) if known is None else held_to(instance, known)
        if dealt is None:
            return False
        places = place_numbers(dealt, cycle, self._random)
        loads = Loads.of(dealt, places)
        starts = self._annealed(dealt, loads, cycle, known)
        if starts is None:
            return False
        near = overlaps(starts, cycle, loads.gaps).any(axis=0)
        near |= _crowded(loads, starts, cycle)
        self.share = float(near.mean())
        if self.share > FEW:
            return False
        held, order = numbered_as_they_enter(dealt, starts, cycle)
        part = self._clock.part(seed=int(self._random.integers(1000)))
        if not mend(held, starts[order], cycle, near[order], REACH, self.incumbent, part):
            return False
        self.in_vain = 0
        self.found += 1
        return True

    def _annealed(
        self, held: Instance, loads: Loads, cycle: int, known: Schedule | None
    ) -> Ints | None:
        """Return starts with little overlap for a cycle time; None where no load keeps it."""
        from .loads_kernel import anneal_loads

        most = loads.longest(cycle)
        if (most < loads.least).any():
            return None
        unit = float(np.mean([move.shortest for move in held.moves]))
        if known is None:
            jobs = np.array([move.job for move in held.moves])
            starts = loads.soonest() + self._random.integers(0, cycle, held.jobs)[jobs]
        else:
            starts = squeezed(loads, np.array(starts_of(held, known)), known.cycle, cycle)
        best, lowest = starts.copy(), 1 << 60
        for temperature in unit * np.geomspace(HOT if known is None else WARM, COLD, STEPS):
            self._clock.check()
            lowest = anneal_loads(
                starts, cycle, loads.gaps, loads.least, most, loads.begins, loads.ends,
                loads.shared, temperature, round(SURCHARGE * unit), max(1, round(unit)),
                TRIALS // STEPS, self._random, best, lowest,
            )  # fmt: skip
            if lowest == 0:
                break
        return best


def _crowded(loads: Loads, starts: Ints, cycle: int) -> Ints:
    """Return by move whether it brings or takes a load that meets another in its tank."""
    found = np.zeros(len(starts), np.bool_)
    for move, others in enumerate(loads.shared):
        for other in others[others >= 0]:
            since = (starts[other - 1] - starts[move - 1]) % cycle
            if since < starts[move] - starts[move - 1]:
                found[[move - 1, move, other - 1, other]] = True
    return found
