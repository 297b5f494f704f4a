"""Where the search stands at one degree, among several that share what they find."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, inf

from ...base.clock import Clock
from ...instance import Instance
from ...problem import Problem
from ...schedule import Schedule
from ...solver import (
    ChainBound,
    Found,
    Shorten,
    Status,
    copied,
    cycle_if_gathered,
    least_cycle,
    lowest_cycle,
    tanks_left_idle,
)
from ..found import Tell, result_of
from ..result import Result

ENOUGH, MORE = 20.0, 1.5
"""Seconds of a turn in which a search goes through the smaller lines that it starts from as well
as it ever does; and how many times as long as any before it another one has to be to start from
them again, where that was not reached."""

GATHERING_A_MOVE = 0.055
"""Seconds for every move of a look at a degree at which loads gather: a search is through by then
with what is worth most there."""

TOLD = 0.03
"""Of the time that is left, the most for telling what a degree is worth where loads gather."""


class Lane:
    """One degree: its instance, its best schedule and its bound, in ticks.

    Attributes
    ----------
    instance : Instance
    bound : int
        Ticks that no cycle of this degree is shorter than.
    alone : Fraction
        Ticks a set of loads takes at the least by what this degree by itself told at first.
    idle : int
        Tanks of groups that no cycle of this degree can use in turn with the others.
    about : Fraction or None
        About how many ticks a set of loads takes if they gather at a stage, which takes no search
        to tell; None where no search of this degree tries that.
    schedule : Schedule or None
        The best known, found here or copied from a divisor of the degree.
    infeasible : bool
        Whether there is proof that this degree has no schedule.
    searched : float
        Seconds of search so far.
    turns : int
        How often it was searched; each time from another seed.
    vain : int
        How many of the last turns brought nothing better.
    own : bool
        Whether the best schedule was found here, and is not a copy.
    """

    def __init__(self, instance: Instance, clock: Clock, shorten: Shorten | None = None) -> None:
        self.instance = instance
        self._shorten = shorten
        self.bound = lowest_cycle(instance, clock)
        self.alone = self.least
        self.idle = tanks_left_idle(instance)
        gathered = cycle_if_gathered(instance, clock.share(TOLD))
        self.about = None if gathered is None else Fraction(gathered, self.degree)
        self.schedule: Schedule | None = None
        self.infeasible = False
        self.searched = 0.0
        self.turns = 0
        self.vain = 0
        self.own = False
        self._longest = 0.0  # seconds that the longest turn was given

    @property
    def degree(self) -> int:
        """Sets of loads per cycle."""
        return self.instance.degree

    @property
    def mean(self) -> Fraction | None:
        """Ticks a set of loads takes in the best schedule; None without one."""
        return None if self.schedule is None else Fraction(self.schedule.cycle, self.degree)

    @property
    def least(self) -> Fraction:
        """Ticks a set of loads takes at the least at this degree."""
        return Fraction(self.bound, self.degree)

    @property
    def look(self) -> float:
        """Seconds that a first look takes to be worth anything where loads gather; else 0."""
        return 0.0 if self.about is None else GATHERING_A_MOVE * len(self.instance.moves)

    @property
    def closed(self) -> bool:
        """Whether nothing better can be found here."""
        return self.infeasible or (self.schedule is not None and self.bound >= self.schedule.cycle)

    def may_beat(self, mean: Fraction | None) -> bool:
        """Whether a cycle better than one of that mean may still be found here."""
        return not self.closed and (mean is None or self.least < mean)

    def search(self, clock: Clock, tell: Tell, chains: ChainBound | None) -> None:
        """Search on from what is known, until the clock is over."""
        anew = self._starts_anew(clock)
        again = self.turns > 0 and self.own and not anew
        other = clock.part(seed=(clock.seed + self.turns) % 2**31)
        self.turns += 1
        found = least_cycle(
            self.instance,
            other,
            tell=tell,
            known=self.schedule,
            again=again,
            chains=chains,
            shorten=self._shorten,
        )
        self.searched += other.elapsed
        self.infeasible = self.infeasible or found.status == "infeasible"
        if found.schedule is not None:
            better = self.take(found.schedule)
            self.own = better or self.own
            self.vain = 0 if better else self.vain + 1
        if found.status != "infeasible":
            self.bound = max(self.bound, found.bound)

    def _starts_anew(self, clock: Clock) -> bool:
        """Whether the smaller lines are worth another search, now that there is more time."""
        left = inf if clock.left is None else clock.left
        before, self._longest = self._longest, max(self._longest, left)
        return before < ENOUGH and left >= MORE * before

    def raise_to(self, per_set: Fraction) -> None:
        """Take a bound on the time of a set of loads that holds at every degree."""
        self.bound = max(self.bound, ceil(per_set * self.degree))

    def take(self, schedule: Schedule) -> bool:
        """Keep a schedule of this degree if it is the best; whether it is."""
        better = self.schedule is None or schedule.cycle < self.schedule.cycle
        if better:
            self.schedule = schedule
        return better

    def share(self, others: list[Lane]) -> None:
        """Give multiples of this degree its cycle, and divisors its bound.

        The cycle of a divisor, run several times over, is one of this degree, so a divisor has
        no mean time per load below this bound.
        """
        for other in others:
            times, rest = divmod(other.degree, self.degree)
            if times > 1 and not rest and self.schedule is not None:
                other.own = not other.take(copied(self.schedule, times)) and other.own
            times, rest = divmod(self.degree, other.degree)
            if times > 1 and not rest:
                other.bound = max(other.bound, -(-self.bound // times))
                other.infeasible = other.infeasible or self.infeasible

    def result(self, problem: Problem, clock: Clock, *, as_found: bool) -> Result:
        """What is known of this degree, checked; `as_found` as of :func:`result_of`."""
        status: Status = "unknown"
        if self.schedule is not None:
            status = "optimal" if self.closed else "feasible"
        elif self.infeasible:
            status = "infeasible"
        bound = self.bound
        if status == "optimal" and self.schedule is not None:
            bound = self.schedule.cycle
        found = Found(status, bound, self.schedule, self.searched)
        return result_of(problem, self.instance, found, clock, self.searched, as_found=as_found)
