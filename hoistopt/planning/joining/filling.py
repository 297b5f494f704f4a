"""How a cycle is joined from an empty line: part of how it is joined from any other."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from itertools import pairwise

from ...base.clock import Clock, OutOfTime
from ...base.errors import InfeasibleError
from ...instance import Route
from ...instance.build_join import JoinBuilder
from ...instance.finite import FiniteLoad
from ...instance.ways_of_joining import Joining
from ...problem import Problem
from ...schedule import LineState, Schedule
from ...solver.finite import JoinSearch
from ...solver.finite.joining import Candidate, Fill

SHARE = 0.25
"""Of the time left, at most, for the empty line."""

Way = list[tuple[Route, int]]
"""Ways of a load before its first move of the cycle, each with the dwell after it."""


class Filling:
    """Programmes that fill the empty line, looked for when one is asked for first.

    Parameters
    ----------
    problem : Problem
    named : Schedule
        The cycle.
    clock : Clock
        Of all that is asked.
    needed : bool
        Whether there is anything in the line, or ordered: else none is looked for.
    """

    def __init__(self, problem: Problem, named: Schedule, clock: Clock, *, needed: bool) -> None:
        self._problem, self._named, self._clock = problem, named, clock
        self._known: dict[int, list[Way]] | None = None if needed else {}

    def of(self, joining: Joining, inside: Sequence[FiniteLoad]) -> Fill:
        """Ways and dwells before the joining of the loads of a way of joining that enter.

        None where no filling that joins the cycle at the same move is known.

        Parameters
        ----------
        joining : Joining
        inside : sequence of FiniteLoad
            The loads of the state, and those ordered, of which `taken` tells.
        """
        if self._known is None:
            self._known = self._found()
        ways = self._known.get(joining.begins)
        if ways is None:
            return {}
        free = (place for place in range(len(joining.roles)) if place not in joining.taken)
        roles = dict(enumerate(free, start=len(joining.taken)))
        for number, (load, taken) in enumerate(zip(inside, joining.taken, strict=True)):
            if taken is not None and load.enters:
                roles[number] = taken
        return {number: ways[place] for number, place in roles.items()}

    def _found(self) -> dict[int, list[Way]]:
        """By the time in the cycle at which it is joined: ways and dwells, by role."""
        clock = self._clock.share(SHARE)
        try:
            builder = JoinBuilder(self._problem, LineState(), self._named, clock)
            joinings = builder.joinings()
        except (InfeasibleError, OutOfTime):
            return {}
        candidates = [
            Candidate(partial(builder.build, joining), builder.bound(joining), all_leave=True)
            for joining in joinings
        ]
        # Hoists have to find ways in the whole programme, and not in this part of it alone.
        JoinSearch(candidates, with_ways=False).placed(clock)
        return {
            joining.begins: _ways(one, len(joining.roles))
            for joining, one in zip(joinings, candidates, strict=True)
            if one.best is not None
        }


def _ways(one: Candidate, roles: int) -> list[Way]:
    """Ways and dwells before the joining, by role, of the best programme of a candidate."""
    instance, timing = one.instance, one.best
    assert instance is not None and timing is not None
    found = []
    for load in instance.loads[:roles]:
        tied = sum(move in instance.tied for move in load.moves)
        before = pairwise(load.moves[: len(load.moves) - tied + 1])
        found.append([(timing.routes[a], timing.starts[b] - timing.end(a)) for a, b in before])
    return found
