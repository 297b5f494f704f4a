"""The least finish of a finite problem: what is tried in which order.

A first programme places the loads one after another, each exactly as early as it can be out
among those before. Where there are few moves, CP-SAT then proves or betters it on the whole
model; else loads are taken off and placed again, as long as there is time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from random import Random
from typing import Literal

from ...base.clock import Clock, OutOfTime
from ...instance.finite import FiniteInstance
from .. import cpsat
from .board import Board
from .bounds import horizon, lower_bound
from .construct import Value, arrivals, best_next, board_of, first_board, rebuilt, value_of
from .model import FiniteModel
from .times import Timing, value

Status = Literal["optimal", "feasible", "infeasible", "unknown"]
Tell = Callable[[int | None, int], None]

MOST_FOR_MODEL = 150
"""Moves; a model of the pairs of more is built but seldom of use."""
SHARE = 0.3
"""Of the time for placing loads again, where the whole model has its turn after that."""
FEW_VAIN, MANY_VAIN = 60, 2_000
"""Times that loads are placed again in vain, one after another: where the whole model comes
next, and where there is neither that nor a time limit, so that a search always ends."""
WORSE = 0.02
"""How much longer than the best a programme may be that others are made from."""


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
    """
    search = _Search(instance, clock, tell)
    return search.run(starts)


class _Search:
    def __init__(self, instance: FiniteInstance, clock: Clock, tell: Tell | None) -> None:
        self.instance, self.clock, self._tell = instance, clock, tell
        self.bound = lower_bound(instance)
        self.late_bound = 0
        self.best: Timing | None = None
        self.whole = len(instance.moves) <= MOST_FOR_MODEL

    def run(self, starts: Callable[[], Sequence[Timing]]) -> Programmed:
        """All there is to be tried."""
        self._place(starts)
        status: Status = "unknown" if self.best is None else "feasible"
        if self._proved():
            return self._found("optimal")
        if self.whole:
            with suppress(OutOfTime):
                status = self._model()
        return self._found("optimal" if self._proved() else status)

    def _found(self, status: Status) -> Programmed:
        return Programmed(status, self.best, self.bound, self.late_bound)

    def _proved(self) -> bool:
        return self.best is not None and value(self.instance, self.best) <= (
            self.late_bound,
            self.bound,
        )

    def _better(self, timing: Timing) -> None:
        if self.best is None or value(self.instance, timing) < value(self.instance, self.best):
            self.best = timing
            if self._tell is not None:
                self._tell(timing.finish, self.bound)

    # -- placing loads ---------------------------------------------------------------

    def _place(self, starts: Callable[[], Sequence[Timing]]) -> None:
        instance = self.instance
        board = first_board(instance, self.clock.share(SHARE))
        boards = [] if board is None else [board]
        if board is not None:
            self._better(board.timing())
        if self._proved():
            return
        for timing in starts():
            self._better(timing)
            if (known := board_of(instance, timing)) is not None:
                boards.append(known)
        clock = self.clock.share(SHARE) if self.whole else self.clock
        if board is not None and not instance.in_order and not clock.over:
            state = board.copy()
            for number in arrivals(instance):
                state.remove(number)
            if (other := best_next(state, arrivals(instance))) is not None:
                self._better(other.timing())
                boards.append(other)
        if boards:
            held = min(boards, key=value_of)
            self._rebuild(held, value_of(held), clock)

    def _rebuild(self, board: Board, best: Value, clock: Clock) -> None:
        """Take loads off and place them again, from the best or one hardly worse."""
        rng = Random(self.clock.seed)
        held, value_held, vain = board, best, 0
        most_vain = FEW_VAIN if self.whole else MANY_VAIN if clock.left is None else None
        while not clock.over and not self._proved():
            if most_vain is not None and vain >= most_vain:
                return
            other = rebuilt(held, rng)
            vain += 1
            if other is None:
                continue
            found = value_of(other)
            if found < best:
                best, vain = found, 0
                self._better(other.timing())
            allowed = (best[0], round(best[1] * (1 + WORSE * rng.random() ** 2)))
            if found <= value_held or found[:2] <= allowed:
                held, value_held = other, found

    # -- the whole model ---------------------------------------------------------------

    def _model(self) -> Status:
        due = any(load.due is not None for load in self.instance.loads)
        latest = horizon(self.instance)
        if self.best is not None:
            latest = max(latest, self.best.finish) if due else self.best.finish
        model = FiniteModel(self.instance, latest, self.clock)
        if due:
            model.model.minimize(model.lateness())
            status, solver = self._solve(model)
            if status in ("optimal", "feasible"):
                self._better(model.timing(solver))
            if status == "infeasible":
                return status
            self.late_bound = max(self.late_bound, _bound(solver, status))
            if status != "optimal":
                return "unknown" if self.best is None else "feasible"
            self.late_bound = round(solver.objective_value)
            model.model.add(model.lateness() <= self.late_bound)
        model.model.minimize(model.aim)
        status, solver = self._solve(model)
        if status in ("optimal", "feasible"):
            self._better(model.timing(solver))
            self.bound = max(self.bound, _bound(solver, status))
        if status == "unknown" and self.best is not None:
            return "feasible"
        return status

    def _solve(self, model: FiniteModel) -> tuple[Status, cpsat.cp_model.CpSolver]:
        if self.best is not None:
            model.model.clear_hints()
            model.hint(self.best)
        # Without the search for symmetries: with it CP-SAT 9.15 once called a finish least that
        # was not, on a model stated otherwise than today's. It has not come back since, and
        # the search is not missed: loads that are alike are ordered in the model itself.
        return cpsat.minimise(model.model, self._hear, self.clock, symmetry=False)

    def _hear(self, best: int | None, bound: int | None) -> None:
        if self._tell is not None and best is not None:
            self._tell(best, self.bound)


def _bound(solver: cpsat.cp_model.CpSolver, status: Status) -> int:
    if status == "optimal":
        return round(solver.objective_value)
    return max(0, -int(-solver.best_objective_bound // 1))
