"""A first recovery: loads placed one after another, each lost only where it must be."""

from __future__ import annotations

from random import Random

from ....base.clock import Clock
from ..board import EVER, Board
from ..insertion import insert
from ..times import Timing
from .softness import Softness, without_first_maxima

TRIES = 2_000
"""Orders in which the loads are placed."""
VAIN = 150
"""Orders tried in vain after which it is enough."""

Value = tuple[int, int, int]


class Rescue:
    """Places the loads of a state in one order after another.

    A load that finds no way within its windows may pass the maximum where it stands now; if
    that is not enough, all of its maxima.

    Parameters
    ----------
    softness : Softness
    clock : Clock
    """

    def __init__(self, softness: Softness, clock: Clock) -> None:
        self.softness, self.clock = softness, clock
        instance = softness.instance
        self.steps = (instance, without_first_maxima(instance, softness.weights), softness.soft)
        self.best: Timing | None = None
        self.value: Value | None = None

    def run(self) -> Timing | None:
        """The best programme found, for all loads; None where none was."""
        loads = self.softness.instance.loads
        rng, vain = Random(self.clock.seed), 0
        # Loads ahead make room for those behind; the most urgent first loses fewer.
        order = sorted(range(len(loads)), key=lambda number: len(loads[number].moves))
        orders = [sorted(range(len(loads)), key=self._urgency)]
        kept = order
        for _ in range(TRIES):
            blocked, lost = self._try(order)
            better = blocked is None and self._keep()
            vain = 0 if better else vain + 1
            kept = list(order) if better or self.value is None else kept
            if self.clock.over or (vain > VAIN and self.best is not None) or self._perfect():
                break
            if orders:
                order = orders.pop()
                continue
            order = list(kept)
            wanting = blocked if blocked is not None else rng.choice(lost) if lost else None
            if wanting is None or rng.random() < 0.25:
                rng.shuffle(order)
                continue
            at = order.index(wanting)
            order.remove(wanting)
            before = at if blocked is None and at else len(loads)
            order.insert(rng.randrange(before), wanting)
        return self.best

    def _urgency(self, number: int) -> tuple[bool, int, int]:
        latest = self.softness.instance.loads[number].latest
        return number in self.softness.hopeless, EVER if latest is None else latest, number

    def _try(self, order: list[int]) -> tuple[int | None, list[int]]:
        """Place all loads: which one found no way at all, and which are lost."""
        board = Board(self.softness.instance)
        lost: list[int] = []
        for number in order:
            first = number in self.softness.hopeless
            last = 3 if number in self.softness.weights else 1
            for step in range(first, last):
                board.instance = self.steps[step]  # they differ in maxima alone
                if insert(board, number):
                    break
            else:
                return number, lost
            if step and number not in self.softness.hopeless:
                lost.append(number)
        self._made = board
        return None, lost

    def _keep(self) -> bool:
        timing = self._made.timing()
        value = (*self.softness.value(timing), timing.finish)
        if self.value is not None and value >= self.value:
            return False
        self.best, self.value = timing, value
        return True

    def _perfect(self) -> bool:
        return self.value is not None and self.value[0] == 0
