"""The least finish of a finite problem: what is tried in which order.

A first programme places the loads one after another, each exactly as early as it can be out
among those before; others begin with a cycle. Loads are taken off and placed again, and CP-SAT
looks at windows of time. Where there are few moves, it then proves or betters the programme on
the whole model.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache

from ...base.clock import Clock, OutOfTime
from ...instance.finite import FiniteInstance
from ..cpsat import Status
from .in_parts import SHARE, InParts
from .incumbent import Incumbent, Tell
from .placing.construct import first_board, value_of
from .placing.stretches import Pace
from .times import Timing
from .whole import Whole

MOST_FOR_MODEL = 150
"""Moves; a model of the pairs of more is built but seldom of use."""
MORE_BOUND_SHARE = 0.3
"""Of the time left, for a better bound, where only the whole model comes after it."""
GIVEN_SHARE, GIVEN_LATE_SHARE = 0.8, 0.45
"""Of the time left, at most, for the loads in the order given, where any may be taken; and where
loads are late so, which another order may help."""


@dataclass(frozen=True)
class Programmed:
    """What a search came to; times in ticks.

    Attributes
    ----------
    status : str
        "optimal", "feasible", "infeasible" or "unknown".
    timing : Timing or None
    bound : int
        No programme finishes earlier; of those with the least lateness, where that is asked.
    late_bound : int
        No programme has less weighted lateness.
    """

    status: Status
    timing: Timing | None
    bound: int
    late_bound: int = 0


def least_finish(
    instance: FiniteInstance,
    clock: Clock,
    tell: Tell | None = None,
    starts: Callable[[], Sequence[Timing]] = tuple,
    paces: Callable[[], Mapping[str, Pace]] = dict,
    *,
    only_late: bool = False,
) -> Programmed:
    """The programme of least lateness, then least finish.

    Parameters
    ----------
    instance : FiniteInstance
    clock : Clock
        When it is over, the best found by then is given.
    tell : callable, optional
        Hears the best finish so far and the bound.
    starts : callable, optional
        Gives programmes to begin with, which break no rule; asked once there is a first one.
    paces : callable, optional
        Gives how loads of a recipe follow each other in a cycle; asked after that, where there
        are many moves.
    only_late : bool
        Whether it ends once the lateness is proved, whatever the finish.
    """
    search = _Search(instance, clock, tell, only_late)
    return search.run(starts, paces)


class _Search:
    def __init__(
        self, instance: FiniteInstance, clock: Clock, tell: Tell | None, only_late: bool
    ) -> None:
        self.instance, self.clock, self.only_late = instance, clock, only_late
        self.kept = Incumbent(instance, clock, tell, only_late=only_late)
        self.whole = len(instance.moves) <= MOST_FOR_MODEL

    def run(
        self,
        starts: Callable[[], Sequence[Timing]],
        paces: Callable[[], Mapping[str, Pace]],
    ) -> Programmed:
        """All there is to be tried."""
        starts, kept = cache(starts), self.kept
        given = self._in_order_given(starts)
        InParts(kept, whole=self.whole).run(starts, paces, given)
        status: Status = "unknown" if kept.best is None else "feasible"
        if kept.proved:
            return self._found("optimal")
        if self.whole:
            kept.raise_bound(MORE_BOUND_SHARE)
            if kept.proved:
                return self._found("optimal")
            whole = Whole(self.instance, self.clock, kept, only_late=self.only_late)
            with suppress(OutOfTime):
                status = whole.run()
            kept.late_bound = max(kept.late_bound, whole.late_bound)
            kept.bound = max(kept.bound, whole.bound)
        return self._found("optimal" if kept.proved else status)

    def _in_order_given(self, starts: Callable[[], Sequence[Timing]]) -> Timing | None:
        """Of several hoists, begin with the loads in the order in which they were given.

        That is searched so much sooner that a short search of all orders may else end with a
        worse programme.
        """
        instance = self.instance
        entering = instance.entering()
        kinds = {(load.recipe, load.earliest, load.due, load.weight) for load in entering}
        if instance.several is None or instance.sequence or len(kinds) < 2 or not self.whole:
            return None
        number = {load.number: place for place, load in enumerate(instance.loads)}
        given = tuple(number[load.number] for load in entering)
        held = replace(instance, sequence=given)
        first = first_board(held, self.clock.share(SHARE))
        late = first is not None and value_of(first)[0] > self.kept.late_bound
        clock = self.clock.share(GIVEN_LATE_SHARE if late else GIVEN_SHARE)
        search = _Search(held, clock, None, self.only_late)
        search.run(lambda: [one for one in starts() if _enters_as(one, instance, given)], dict)
        best = search.kept.best
        if best is not None:
            self.kept.know(best, True)
        return best

    def _found(self, status: Status) -> Programmed:
        return Programmed(status, self.kept.best, self.kept.bound, self.kept.late_bound)


def _enters_as(timing: Timing, instance: FiniteInstance, order: Sequence[int]) -> bool:
    """Whether loads enter in an order."""
    starts = [timing.starts[instance.loads[load].moves[0]] for load in order]
    return starts == sorted(starts)
