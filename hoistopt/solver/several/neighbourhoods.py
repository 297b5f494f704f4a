"""Large neighbourhood search where several hoists share a track.

Of the best schedule some moves are free: when they start, and which hoist makes them. All others
keep their hoist and, where they have to keep apart, their order. In one kind of neighbourhood
only the hoists are kept, for with the hoists given the best order is found soon.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, cycle

from ...base.clock import Clock, OutOfTime
from ...instance import Instance, Route
from ...schedule import Schedule
from ..cpsat import Status
from ..cyclic.neighbourhoods import Kind, Looks
from ..model.constraints.several import apart
from ..model.decode import jobs_of, route_of
from ..model.several_bounds import asking
from ..model.variables import Variables
from .incumbent import GivingWay
from .looks import look
from .shares import middle, narrowed

WORK = 0.1
"""CP-SAT's work on one neighbourhood at first, in its own measure: some tenths of a second."""


class HoistNeighbourhoods(Looks):
    """Neighbourhoods of the schedule of several hoists.

    Parameters
    ----------
    incumbent : GivingWay
        Improved in place.
    seed : int
    clock : Clock, optional
        Ends the search when it is over.
    """

    incumbent: GivingWay

    def __init__(
        self, instance: Instance, incumbent: GivingWay, seed: int, clock: Clock | None = None
    ) -> None:
        super().__init__(instance, incumbent, seed, clock)
        self._work = WORK
        # Hoists that are asked for less may reach more, or find no ways: both in turn.
        self._asked = cycle([instance, asking(instance, "near")])
        self._sizes = {
            self._of_track: 6,
            self._in_line: 10,
            self._in_time: 14,
            self._anywhere: 8,
        }
        if instance.jobs > 1:
            self._sizes[self._of_load] = max(4, len(instance.moves) // instance.jobs)

    def _try(self, kind: Kind, best: Schedule, order: list[int], free: set[int]) -> Status:
        instance = next(self._asked)
        taken = routes_of(instance, best)
        near = narrowed(
            instance,
            lambda move, route: move.index in free or route.hoist == taken[move.index].hoist,
        )

        kept = [] if kind == self._of_track else [move for move in order if move not in free]

        def keeping(variables: Variables) -> None:
            keep_order(variables, taken, kept)

        clock = self._clock.part(seed=self._random.randrange(1000))
        try:
            return look(near, self.incumbent, clock, self._work, keeping=keeping)
        except OutOfTime:
            return "unknown"

    # -- which moves are free -----------------------------------------------------

    def _of_track(self, order: list[int], size: int) -> set[int]:
        """Return moves that lie nearest to some point of the track; all may change their order."""
        del order
        moves = self.instance.moves
        at = middle(self._random.choice(self._random.choice(moves).routes))
        nearest = sorted(moves, key=lambda move: min(abs(middle(r) - at) for r in move.routes))
        return {move.index for move in nearest[:size]}

    def _of_load(self, order: list[int], size: int) -> set[int]:
        """Return the moves of one load."""
        del order, size
        job = self._random.randrange(self.instance.jobs)
        return {move.index for move in self.instance.moves if move.job == job}


def routes_of(instance: Instance, schedule: Schedule) -> list[Route]:
    """The route by which each move is made in a schedule."""
    jobs = jobs_of(instance, schedule)
    steps = {(jobs[step.load], step.stage): step for step in schedule}
    return [
        move.routes[route_of(instance, move, steps[move.job, move.stage])]
        for move in instance.moves
    ]


def keep_order(
    variables: Variables, routes: Sequence[Route], order: Sequence[int], reach: int = 0
) -> None:
    """Of any two of some moves, those that have to keep apart start in that order.

    Moves so near one another in the order, around the cycle too, may change places. Every pair
    is needed: with neighbours only, a free move between them would untie them.
    """
    several = variables.instance.several
    assert several is not None
    for (here, earlier), (there, later) in combinations(enumerate(order), 2):
        near = min(there - here, len(order) - there + here) <= reach
        if not near and apart(several, routes[earlier], routes[later]) is not None:
            variables.model.add(variables.start[earlier] <= variables.start[later])
