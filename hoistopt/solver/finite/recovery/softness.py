"""What of a finite problem may give: the maxima of loads that may be lost."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from ....instance.finite import FiniteInstance
from ..possible import overdue
from ..times import Timing

Value = tuple[int, int]
"""Weight of the loads lost, and ticks by which they stand too long in all."""


@dataclass(frozen=True)
class Softness:
    """A finite problem, and which of its loads may be lost at which price.

    Attributes
    ----------
    instance : FiniteInstance
        With every maximum; the `latest` of a load may lie before its `earliest`.
    weights : mapping of int to int
        What losing a load counts, by its place in `instance.loads`. Other loads keep all
        their maxima.
    """

    instance: FiniteInstance
    weights: Mapping[int, int]

    @cached_property
    def hopeless(self) -> frozenset[int]:
        """Loads that are lost whatever is done."""
        return frozenset(n for n in self.weights if self.surely_over(n) > 0)

    @cached_property
    def needed(self) -> Softness:
        """The problem with no more asked of several hoists than a bound may count on."""
        needed = self.instance.needed
        return self if needed is self.instance else Softness(needed, self.weights)

    def surely_over(self, number: int) -> int:
        """By how many ticks a load overstays where it is by the time it can be lifted first."""
        return overdue(self.instance, self.instance.loads[number])

    @cached_property
    def soft(self) -> FiniteInstance:
        """The problem without the maxima of all loads that may be lost."""
        return without_maxima(self.instance, self.weights)

    def eased(self, by: int, *, first: bool = False) -> FiniteInstance:
        """The problem with maxima greater by so many ticks, for loads that may be lost.

        Parameters
        ----------
        by : int
        first : bool
            Whether only where the state has the loads.
        """
        instance = self.instance
        soft = {move for n in self.weights for move in instance.loads[n].moves}
        stays = instance.stays
        if not first:
            stays = tuple(
                replace(stay, most=stay.most + by)
                if stay.most is not None and stay.departure in soft
                else stay
                for stay in stays
            )
        return replace(
            instance,
            loads=tuple(
                replace(load, latest=load.latest + by)
                if load.latest is not None and number in self.weights
                else load
                for number, load in enumerate(instance.loads)
            ),
            stays=stays,
        )

    def value(self, timing: Timing) -> Value:
        """Weight of the loads a timing loses, and the time by which they overstay."""
        over = overstays(self.instance, timing)
        ticks = sum(by for each in over.values() for by in each.values())
        return sum(self.weights[load] for load in over), ticks

    def capped(self, timing: Timing) -> FiniteInstance:
        """The problem in which no load stands longer than its maximum, or than in a timing.

        Parameters
        ----------
        timing : Timing
            Of these moves, or of the first of them.
        """
        instance = self.instance
        over = {
            move: by for each in overstays(instance, timing).values() for move, by in each.items()
        }
        return replace(
            instance,
            loads=tuple(
                replace(load, latest=load.latest + over[load.moves[0]])
                if load.latest is not None and load.moves[0] in over
                else load
                for load in instance.loads
            ),
            stays=tuple(
                replace(stay, most=stay.most + over[stay.departure])
                if stay.most is not None and stay.departure in over
                else stay
                for stay in instance.stays
            ),
        )


def without_maxima(instance: FiniteInstance, loads: Collection[int]) -> FiniteInstance:
    """The problem without the maxima of some loads."""
    numbers = set(loads)
    free = {move for number in numbers for move in instance.loads[number].moves}
    return replace(
        instance,
        loads=tuple(
            replace(load, latest=None) if number in numbers else load
            for number, load in enumerate(instance.loads)
        ),
        stays=tuple(
            replace(stay, most=None) if stay.departure in free else stay for stay in instance.stays
        ),
    )


def overstays(instance: FiniteInstance, timing: Timing) -> dict[int, dict[int, int]]:
    """By how many ticks loads stand too long: by load, and by the move that ends the dwell.

    A timing of the first moves of the instance only tells of those.
    """
    found: dict[int, dict[int, int]] = {}
    made = len(timing.starts)
    for number, load in enumerate(instance.loads):
        first = load.moves[0]
        if first < made and load.latest is not None and timing.starts[first] > load.latest:
            found.setdefault(number, {})[first] = timing.starts[first] - load.latest
    for stay in instance.stays:
        if stay.most is None or stay.departure >= made:
            continue
        most = stay.most - timing.routes[stay.arrival].shaved
        by = timing.starts[stay.departure] - timing.end(stay.arrival) - most
        if by > 0:
            found.setdefault(instance.moves[stay.departure].job, {})[stay.departure] = by
    return found
