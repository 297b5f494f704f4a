"""A first recovery: loads placed one after another, each lost only where it must be."""

from __future__ import annotations

from math import factorial, perm
from random import Random

from ....base.clock import Clock
from ..giving_way import goes
from ..placing.board import Board
from ..placing.insertion import insert
from ..placing.room import EVER
from ..times import Timing
from .softness import Softness

TRIES, VAIN = 2_000, 60
"""Orders in which all loads are placed, at most, and in vain one after another."""
REBUILT, FRUITLESS, SOME = 20_000, 250, (2, 3, 4)
"""Most tries, and most in vain one after another, of placing some of the loads again; how
many loads at a time, the first two numbers twice as often."""
OFTEN = 4
"""How often each order of few loads comes up on average before trying is in vain."""
FIRST_CAP, MORE = 2, 1.6
"""Units of time by which a load may stand too long at first, and how much more the next time."""

Value = tuple[int, int, int]


class Rescue:
    """Places the loads of a state in one order after another, then some of them again.

    A load that finds no way within its windows may stand a little too long where it is, or in
    any stage; if that is not enough, a little longer.

    Parameters
    ----------
    softness : Softness
    clock : Clock
    """

    def __init__(self, softness: Softness, clock: Clock) -> None:
        self.softness, self.clock = softness, clock
        self.rng = Random(clock.seed)
        self.steps = [softness.instance]
        unit = float(softness.instance.ticks_per_unit)
        cap = FIRST_CAP * unit
        longest = max([cap, *(softness.surely_over(number) for number in softness.weights)])
        while cap < 20 * longest or cap < 1_000 * unit:
            self.steps += [softness.eased(round(cap), first=True), softness.eased(round(cap))]
            cap *= MORE
        self.steps.append(softness.soft)
        lost = softness.hopeless
        self.least = (
            sum(softness.weights[number] for number in lost),
            sum(map(softness.surely_over, lost)),
        )
        count = len(softness.instance.loads)
        self.vain = min(VAIN, OFTEN * factorial(min(count, 9)))
        some = sum(perm(count, chosen) for chosen in SOME if chosen <= count)
        self.fruitless = min(FRUITLESS, OFTEN * max(1, some))
        self.board: Board | None = None
        self.value: Value | None = None

    def run(self) -> Timing | None:
        """The best programme found, for all loads; None where none was."""
        self._in_orders()
        if self.board is not None:
            self._rebuild()
        return None if self.board is None else self.board.timing()

    def _in_orders(self) -> None:
        loads, rng, vain = self.softness.instance.loads, self.rng, 0
        # Loads ahead make room for those behind; the most urgent first loses fewer.
        order = sorted(range(len(loads)), key=lambda number: len(loads[number].moves))
        orders = [sorted(range(len(loads)), key=self._urgency)]
        kept, tried = order, set[tuple[int, ...]]()
        for _ in range(TRIES):
            tried.add(tuple(order))
            board = Board(self.softness.instance)
            blocked = next((number for number in order if not self._place(board, number)), None)
            better = blocked is None and self._keep(board)
            vain = 0 if better else vain + 1
            kept = list(order) if better or self.value is None else kept
            if self.clock.over or (vain > self.vain and self.board is not None) or self._perfect():
                return
            if len(tried) == factorial(min(len(loads), 9)):
                return
            if orders:
                order = orders.pop()
                continue
            order = list(kept)
            if blocked is None or rng.random() < 0.25:
                rng.shuffle(order)
                continue
            order.remove(blocked)
            order.insert(rng.randrange(len(loads)), blocked)

    def _rebuild(self) -> None:
        """Take a few loads off and place them again in another order."""
        vain = 0
        for _ in range(REBUILT):
            if self.clock.over or vain > self.fruitless or self._perfect():
                return
            assert self.board is not None
            board = self.board.copy()
            chosen = self.rng.sample(
                sorted(board.ways), min(len(board.ways), self.rng.choice((*SOME, *SOME[:2])))
            )
            for number in chosen:
                board.remove(number)
            done = all(self._place(board, number) for number in chosen)
            vain = 0 if done and self._keep(board) else vain + 1

    def _urgency(self, number: int) -> tuple[bool, int, int]:
        latest = self.softness.instance.loads[number].latest
        return number in self.softness.hopeless, EVER if latest is None else latest, number

    def _place(self, board: Board, number: int) -> bool:
        """Place a load with as little beyond its maxima as it takes; whether there is a way."""
        steps = self.steps if number in self.softness.weights else self.steps[:1]
        for step in steps:
            board.instance = step  # they differ in maxima alone
            if insert(board, number):
                return True
        return False

    def _keep(self, board: Board) -> bool:
        timing = board.timing()
        value = (*self.softness.value(timing), timing.finish)
        if self.value is not None and value >= self.value:
            return False
        if not goes(board.instance, timing, self.clock, first=self.value is None):
            return False
        self.board, self.value = board, value
        return True

    def _perfect(self) -> bool:
        """Whether no programme loses less, or has what is lost stand too long for less."""
        return self.value is not None and self.value[:2] <= self.least
