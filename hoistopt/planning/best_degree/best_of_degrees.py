"""The least mean time per load over the degrees of a line, in one time limit.

Every degree is looked at briefly, the lowest first, where there is time for that; then those at
which loads can gather at a stage, the shortest cycle first, as it seems; then whichever
may still reach most (`ranking.py`), by its own schedule, its bound and how often it was searched in
vain, for longer and longer; among equals whichever uses more of the tanks. They share what they
find (`lane.py`): a cycle copied is a start for every multiple of its degree, a bound holds for
every divisor, and the bounds of chains and of `solver/any_degree.py` hold for all. A degree whose
bound lies above the best mean time known is left alone, and all end when no degree can do better.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from ...base.clock import Clock, OutOfTime
from ...base.effort import Effort, Stop
from ...instance import Instance, build_instance
from ...instance.build import MOST_MOVES, moves_in_a_set
from ...instance.times import ticks_down
from ...problem import Problem
from ...schedule import Schedule
from ...solver import ChainBound, kinds_of, least_per_set
from ...solver.compiling import compiling_before
from ..fitting import check_size, too_large
from ..found import Tell, in_unit, instance_or_result, shortener
from ..result import DegreeChoice, Ended, LeftOut, Proof, Result
from .candidates import degrees_not_tried, degrees_to_try
from .lane import Lane
from .patience import Patience
from .ranking import Ranking

PATIENCE = 30.0
"""Seconds without progress after which a search without a time limit ends."""

FIRST_SHARE = 0.3
"""Of the whole time, what the first look at every degree takes."""

NEXT_SHARE, HOPED_SHARE, LAST_SHARE = 0.4, 0.3, 0.1
"""Of the time left, what the most promising degree is searched for next, where it has a
schedule of its own and where it has none; and of the whole, what is left undivided."""

ONLY_SHARE = 0.6
"""Of the time left, what the first degree after the lowest is searched for where others had no
look: a search cut off before it has gone through its starts is worth little."""

SHORTEST_LOOK = 1.0
"""Seconds; where the first look would be shorter than that, only the lowest degree has one."""

LOWEST_SHARE, LOWEST_SHARE_OF_SEVERAL = 0.1, 0.4
"""Of the whole time, what the lowest degree is searched for where others have no look: all gains
are told on it, and it is soon proved. The second for several hoists: others begin from it."""

GATHERING_SHARE = 0.6
"""Of the whole time: when it is over, no other degree is looked at because loads gather there."""

LOOK_A_MOVE, MIX_LOOK_A_MOVE = 0.1, 0.06
"""Seconds of the shortest look for every move of a set of loads: where there are several hoists,
and where the loads are of several recipes, of which a short search finds little."""

FIRST_TURN = 2.0
"""Seconds for a degree in the first round, where there is no time limit; then doubled."""


def solve_best_degree(
    problem: Problem,
    effort: Effort,
    known: Sequence[Schedule] = (),
    wish: Callable[[int], Fraction] | None = None,
) -> Result:
    """The result of the degree with the least mean time per load; its `choice` tells of the rest.

    Parameters
    ----------
    known : sequence of Schedule
        Schedules of the line on the grid it is planned on, of whatever degree, to begin with.
    wish : callable, optional
        By degree, the greatest cycle time wished for, in the problem's unit: the search then
        ends as soon as some degree keeps it, or none can.

    Raises
    ------
    InputError
        When the problem cannot be planned.
    Refused
        When the checker refuses a schedule: a fault in hoistopt itself.
    """
    clock = Clock(effort)
    first = instance_or_result(problem, 1, clock)
    if isinstance(first, Result):
        return first
    patience = Patience(PATIENCE if effort.time_limit is None else None)
    race = _Race(problem, clock, patience, wish)
    try:
        race.enter(first)
        for schedule in known:
            race.take(schedule)
        with patience, compiling_before(clock):
            race.run()
    except OutOfTime:
        pass
    return race.result(first)


class _Race:
    """The degrees of one line, and the time they share."""

    def __init__(
        self,
        problem: Problem,
        clock: Clock,
        patience: Patience,
        wish: Callable[[int], Fraction] | None = None,
    ) -> None:
        self.problem, self.whole, self.patience, self.wish = problem, clock, patience, wish
        self.kept = Stop()  # set when some degree keeps the wish
        self.clock = clock.part(stop=patience.stop).part(stop=self.kept)
        self.lanes: list[Lane] = []
        self.least = Fraction(0)
        self.left_out: list[LeftOut] = []
        self._shared: ChainBound | None = None
        self._looks = 1  # searches of a degree that are too brief to tell what it is worth

    def enter(self, first: Instance) -> None:
        """Make an instance of every degree that the line gives reason to try."""
        self.left_out += degrees_not_tried(self.problem)
        most = MOST_MOVES // moves_in_a_set(self.problem)
        for degree in degrees_to_try(self.problem):
            if degree > max(1, most):
                long = f"a cycle of it has more than {MOST_MOVES} moves"
                self.left_out.append(LeftOut(degree, long))
                continue
            instance = first
            if degree > 1:
                instance = build_instance(self.problem, degree, self.clock, several=True)
            if degree == 1:
                check_size(instance)
            if degree == 2:
                self.least = least_per_set(instance, self.clock)
            why = too_large(instance)
            if why is not None:
                self.left_out.append(LeftOut(degree, why))
                continue
            self.lanes.append(Lane(instance, self.clock, shortener(self.problem)))
        self.least = max(self.least, Fraction(first.shortest))

    def take(self, known: Schedule) -> None:
        """Begin with a schedule that somebody else found."""
        loads = sum(step.stage == 0 for step in known)
        for lane in self.lanes:
            if lane.instance.jobs == loads:
                lane.own = lane.take(known)
                lane.share(self.lanes)

    def run(self) -> None:
        """Search round after round until nothing better can be, or time or patience is over."""
        left = self.clock.left
        if left is None:
            self._without_limit()
            return
        ends = self.clock.part(left * FIRST_SHARE)
        if left * FIRST_SHARE < self._shortest_look * len(self.lanes):
            self._looks = 0
        if self._looks:
            for number, lane in enumerate(self.lanes):
                # What a degree does not need is for those after it.
                self._search(lane, ends.share(1 / (len(self.lanes) - number)))
        else:
            alone = self.lanes[0].instance.several is None
            share = LOWEST_SHARE if alone else LOWEST_SHARE_OF_SEVERAL
            self._search(self.lanes[0], self.clock.part(left * share))
        for lane in self._gathering:
            if (self.clock.left or 0) > left * (1 - GATHERING_SHARE):
                self._search(lane, self.clock.part(lane.look))
        while not self.over and (turn := self._ranking.first(1)):
            share = NEXT_SHARE if turn[0].own else HOPED_SHARE
            if self._looks == turn[0].turns == 0 and len(self._searched) == 1:
                share = ONLY_SHARE
            last = (self.clock.left or 0) <= left * LAST_SHARE
            self._search(turn[0], self.clock if last else self.clock.share(share))

    @property
    def _shortest_look(self) -> float:
        """Seconds that a look at a degree takes at the least to be worth anything."""
        first = self.lanes[0].instance
        if first.several is not None:
            return max(SHORTEST_LOOK, LOOK_A_MOVE * len(first.moves))
        if len(first.alike) > 1:
            return max(SHORTEST_LOOK, MIX_LOOK_A_MOVE * len(first.moves))
        return SHORTEST_LOOK

    def _without_limit(self) -> None:
        seconds, most = FIRST_TURN, len(self.lanes)
        turn = list(self.lanes)
        while not self.over and turn:
            for lane in turn:
                self._search(lane, self.clock.part(max(seconds, lane.look)))
            seconds, most = 2 * seconds, max(1, most // 2)
            turn = self._ranking.first(most)

    @property
    def _gathering(self) -> list[Lane]:
        """Degrees at which loads gather at a stage, the shortest cycle first, as it seems."""
        some = [(lane.about, lane) for lane in self.lanes if lane.about is not None]
        return [lane for _, lane in sorted(some, key=lambda each: each[0])]

    @property
    def _searched(self) -> list[Lane]:
        """Degrees that were searched."""
        return [lane for lane in self.lanes if lane.turns]

    @property
    def best(self) -> Lane | None:
        """The degree with the least mean; the lowest of equals."""
        known = [lane for lane in self.lanes if lane.schedule is not None]
        return min(known, key=lambda lane: (lane.mean, lane.degree), default=None)

    @property
    def mean(self) -> Fraction | None:
        """The least mean time of a set of loads, in ticks."""
        return None if self.best is None else self.best.mean

    @property
    def over(self) -> bool:
        """Whether there is no more time or patience, or no degree can do better."""
        return self.clock.over or not self._open or self._in_vain

    @property
    def _open(self) -> bool:
        """Whether some degree may do better; also before there is any, when stopped at once."""
        return not self.lanes or any(lane.may_beat(self.mean) for lane in self.lanes)

    @property
    def _in_vain(self) -> bool:
        """Whether it is proved that no degree keeps the wish."""
        return bool(self.wish and self.lanes) and all(
            lane.infeasible or lane.bound > self._most(lane) for lane in self.lanes
        )

    def _most(self, lane: Lane) -> int:
        """Ticks of the longest cycle of a degree that keeps the wish."""
        if self.wish is None:
            return 0
        return ticks_down(self.wish(lane.degree), lane.instance.ticks_per_unit)

    @property
    def _ranking(self) -> Ranking:
        """Which degrees to search on at next."""
        return Ranking(self.lanes, self.best, self._looks)

    def _search(self, lane: Lane, clock: Clock) -> None:
        if self.over or clock.over or not lane.may_beat(self.mean):
            return
        chains = self._chains(lane.instance)
        lane.search(clock, self._teller(lane), chains)
        lane.share(self.lanes)
        if lane.schedule is not None and lane.schedule.cycle <= self._most(lane):
            self.kept.set()
        if chains is not None:
            self.least = max(self.least, chains.per_set)
        for other in self.lanes:
            other.raise_to(self.least)
        self.patience.hear(lane.degree, lane.mean, lane.least)

    def _chains(self, instance: Instance) -> ChainBound | None:
        """What one hoist can do in a row, which is the same at every degree."""
        if instance.several is not None:
            return None
        if self._shared is None:
            self._shared = ChainBound(kinds_of(instance))
        return self._shared

    def _teller(self, lane: Lane) -> Tell:
        best, degree, sets = self.best, lane.degree, len(self.problem.load_set)
        doing = f"degree {degree}"
        if best is not None and best.mean is not None:
            per_load = in_unit(round(best.mean / sets), lane.instance)
            doing += f", best so far {per_load} a load at degree {best.degree}"

        def tell(cycle: int | None, bound: int, _: float) -> None:
            # A cycle told before its schedule is kept; it is progress all the same.
            mean = None if cycle is None else Fraction(cycle, degree)
            self.patience.hear(degree, mean, Fraction(bound, degree))
            if cycle is not None and cycle <= self._most(lane):
                self.kept.set()
            shown = None if cycle is None else in_unit(cycle, lane.instance)
            self.whole.tell(doing, cycle_time=shown, lower_bound=in_unit(bound, lane.instance))

        return tell

    # -- the answer ---------------------------------------------------------------

    def result(self, first: Instance) -> Result:
        """The best result, with how its degree was chosen."""
        lanes = self.lanes or [Lane(first, Clock())]
        asked = self.whole.part()
        best = self.best
        results = tuple(
            lane.result(self.problem, asked, as_found=lane is not best) for lane in lanes
        )
        mean, sets = self.mean, len(self.problem.load_set)
        of_compared = min((lane.least for lane in lanes if not lane.infeasible), default=self.least)
        choice = DegreeChoice(
            results=results,
            least_per_load=in_unit(self.least / sets, first),
            proved=self._proof(mean),
            least_of_compared=in_unit(
                (min(of_compared, mean) if mean is not None else of_compared) / sets, first
            ),
            ended=self._ended(),
            patience=None if self.whole.effort.time_limit is not None else PATIENCE,
            left_out=tuple(sorted(self.left_out, key=lambda out: out.degree)),
        )
        chosen = results[0 if best is None else lanes.index(best)]
        return replace(chosen, runtime=self.whole.elapsed, choice=choice)

    def _proof(self, mean: Fraction | None) -> Proof:
        if mean is not None and mean <= self.least:
            return "any degree"
        return "open" if self._open else "degrees compared"

    def _ended(self) -> Ended:
        if not self._open:
            return "proved"
        if self.whole.stopped:
            return "stopped"
        return "no progress" if self.patience.over else "time limit"
