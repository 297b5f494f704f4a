"""The whole model in absolute time with maxima that may be passed, at a price."""

from __future__ import annotations

from typing import Any

from ....base.clock import Clock
from ..model import FiniteModel
from ..times import Timing
from .softness import Softness, overstays


class SoftModel:
    """The whole model without the maxima of loads that may be lost, and what passing them costs.

    Parameters
    ----------
    softness : Softness
    horizon : int
        No move ends later, in ticks.
    clock : Clock
        When it is over, building is given up.

    Attributes
    ----------
    whole : FiniteModel
    lost : expression
        Weight of the loads lost.
    over : expression
        Ticks by which they stand too long, in all.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """

    def __init__(self, softness: Softness, horizon: int, clock: Clock) -> None:
        self.softness = softness
        self.whole = FiniteModel(softness.soft, horizon, clock)
        self._is_lost: dict[int, Any] = {}
        self._over: dict[int, Any] = {}
        self._windows()
        self.lost: Any = sum(
            softness.weights[number] * lit for number, lit in self._is_lost.items()
        )
        self.over: Any = sum(self._over.values())

    def _windows(self) -> None:
        """A load keeps all of its maxima, or is lost and stands too long by so much."""
        instance, whole = self.softness.instance, self.whole
        for number, load in enumerate(instance.loads):
            if number in self.softness.weights and load.latest is not None:
                start = whole.start[load.moves[0]]
                self._limit(number, load.moves[0], start - load.latest, load.latest, [])
        for stay in instance.stays:
            number = instance.moves[stay.departure].job
            if stay.most is None or number not in self.softness.weights:
                continue
            into = instance.moves[stay.arrival]
            dwell = whole.start[stay.departure] - whole.end[stay.arrival]
            for route, lit in zip(into.routes, whole.way[into.index], strict=True):
                most = stay.most - route.shaved
                given = [] if lit is True else [lit]
                self._limit(number, stay.departure, dwell - most, most, given)

    def _limit(self, number: int, move: int, beyond: Any, limit: int, given: list[Any]) -> None:
        """What a dwell has beyond its maximum, 0 or less where a load is not lost."""
        model = self.whole.model
        if number not in self._is_lost:
            self._is_lost[number] = model.new_bool_var(f"lost {number}")
            if number in self.softness.hopeless:
                model.add(self._is_lost[number] == 1)
        if move not in self._over:
            most = max(0, self.whole.horizon - limit) + 1  # routes differ by a tick at most
            self._over[move] = model.new_int_var(0, most, f"over {move}")
            model.add(self._over[move] == 0).only_enforce_if(~self._is_lost[number])
        added = model.add(self._over[move] >= beyond)
        kept = model.add(beyond <= 0)
        if given:
            added.only_enforce_if(given)
        kept.only_enforce_if([~self._is_lost[number], *given])

    def hint(self, timing: Timing) -> None:
        """Let a search begin with a timing."""
        model = self.whole.model
        model.clear_hints()
        self.whole.hint(timing)
        over = overstays(self.softness.instance, timing)
        for number, lit in self._is_lost.items():
            model.add_hint(lit, number in over)
            for move in self.softness.instance.loads[number].moves:
                if move in self._over:
                    model.add_hint(self._over[move], over.get(number, {}).get(move, 0))
