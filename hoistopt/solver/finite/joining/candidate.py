"""One way of joining a cycle, and what is known of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

from ....instance import Route
from ....instance.finite import FiniteInstance
from ..bounds import join_bound, join_latest
from ..placing.room import EVER
from ..times import Timing, value

Value = tuple[int, int]
"""Changeover time, 0 where that is not asked, and joining, in ticks."""

Fill = dict[int, list[tuple[Route, int]]]
"""Of loads that enter, the ways of their moves before those of the cycle, each with the dwell
after it; by load."""


class Candidate:
    """One way of joining; its problem is built when it is looked into.

    Parameters
    ----------
    build : callable
        Gives the problem; None where it has no solution.
    bound : (int, int)
        No programme of it has a lesser value, as :func:`..times.value` counts it.
    all_leave : bool
        Whether every load of the state is out before the joining.
    latest : int, optional
        No programme of it joins later; None where nothing says so.
    fill : callable, optional
        Gives ways and dwells before the joining of loads that enter, as in a programme that
        fills the empty line; none where no such programme is known.

    Attributes
    ----------
    best : Timing or None
        Its best programme known.
    closed : bool
        Whether it is known to hold nothing better than the best programme.
    stuck : bool
        Whether several hoists find no ways in what is best of it, so that nothing is proved.
    """

    def __init__(
        self,
        build: Callable[[], FiniteInstance | None],
        bound: Value,
        *,
        all_leave: bool,
        latest: int | None = None,
        fill: Callable[[], Fill] = dict,
    ) -> None:
        self._build = build
        self.latest = latest
        self.fill = fill
        self.bound = bound
        self.all_leave = all_leave
        self.best: Timing | None = None
        self.closed = False
        self.stuck = False

    @cached_property
    def instance(self) -> FiniteInstance | None:
        """Its problem; one without a solution is closed."""
        instance = self._build()
        if instance is None:
            self.closed = True
        else:
            self.bound = max(self.bound, join_bound(instance))
            latest = [one for one in (self.latest, join_latest(instance)) if one is not None]
            self.latest = min(latest, default=None)
        return instance

    def forget(self) -> None:
        """Close it, and keep its problem no longer."""
        self.closed = True
        self.__dict__.pop("instance", None)


def value_of(one: Candidate) -> Value:
    """Value of the best programme of a candidate."""
    if one.best is None or one.instance is None:
        return EVER, EVER
    return value(one.instance, one.best)
