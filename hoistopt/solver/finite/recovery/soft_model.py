"""The whole model in absolute time with maxima that may be passed, at a price."""

from __future__ import annotations

from functools import partial
from typing import Any

from ....base.clock import Clock
from ..held import spans_of
from ..model import FiniteModel
from ..model.rules.dwell import dwell_within_window
from ..model.variables import FiniteVariables
from ..times import Timing
from .softness import Softness, overstays


class SoftModel:
    """The whole model in which maxima of loads that may be lost give way, and what that costs.

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
        self._is_lost: dict[int, Any] = {}
        self._over: dict[int, Any] = {}
        self.whole = FiniteModel(
            softness.instance,
            horizon,
            clock,
            rules={"dwell": partial(dwell_within_window, gives=self._gives)},
            spans=spans_of(softness.soft, horizon),
        )
        self.lost: Any = sum(
            softness.weights[number] * lit for number, lit in self._is_lost.items()
        )
        self.over: Any = sum(self._over.values())

    def _gives(self, variables: FiniteVariables, move: int, most: int) -> Any:
        """What the dwell that a move ends has beyond its maximum: 0 where its load is not lost."""
        number = self.softness.instance.moves[move].job
        if number not in self.softness.weights:
            return 0
        model = variables.model
        if number not in self._is_lost:
            self._is_lost[number] = model.new_bool_var(f"lost {number}")
            if number in self.softness.hopeless:
                model.add(self._is_lost[number] == 1)
        longest = max(0, variables.horizon - most) + 1  # a route may shave a tick off the maximum
        over = self._over[move] = model.new_int_var(0, longest, f"over {move}")
        model.add(over == 0).only_enforce_if(~self._is_lost[number])
        return over

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
