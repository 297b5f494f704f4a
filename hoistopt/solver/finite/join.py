"""The programme that goes over into a cycle soonest: what is tried in which order.

There is one finite problem for each way of joining. In each the joining is moved forward as
long as the loads can be placed one after another, each exactly, before the moves of the cycle.
CP-SAT then proves of each problem that it holds nothing better than the best programme known,
or finds something better: every one for a short while, those left over for longer and longer.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from random import Random
from typing import Literal

from ...base.clock import Clock, OutOfTime
from ...instance.finite import FiniteInstance
from .. import cpsat
from .board import EVER, Board
from .bounds import horizon, join_bound
from .insertion import insert
from .model import FiniteModel
from .times import Timing, value

Status = Literal["optimal", "feasible", "infeasible", "unknown"]
Value = tuple[int, int]

MOST_FOR_MODEL = 260
"""Moves that are not the cycle's; a model of the pairs of more is built but seldom of use."""
ORDERS = 4
"""Orders in which the loads are tried, at one time of joining."""
MOVED = 9
"""Times that the joining is moved in one problem, at most."""
FIRST_WORK, MOST_WORK = 0.4, 60.0
"""Work for a problem in the first round, which doubles, and where a search without a time
limit ends; in CP-SAT's own measure, about a second each."""
SHARE = 0.35
"""Of the time for placing loads, where CP-SAT has its turn after that."""


@dataclass
class Candidate:
    """The problem of one way of joining.

    Attributes
    ----------
    instance : FiniteInstance
    bound : (int, int)
        No programme of it has a lesser value, as :func:`.times.value` counts it.
    best : (int, int) or None
        Value of its best programme known.
    closed : bool
        Whether it is known to hold nothing better than the best programme.
    """

    instance: FiniteInstance
    bound: Value
    best: Value | None = None
    closed: bool = False


@dataclass(frozen=True)
class Joined:
    """What a search came to; times in ticks.

    Attributes
    ----------
    status : str
        "optimal", "feasible", "infeasible" or "unknown".
    instance : FiniteInstance or None
        The problem of the best programme.
    timing : Timing or None
    bound : (int, int)
        No programme has a lesser value.
    """

    status: Status
    instance: FiniteInstance | None
    timing: Timing | None
    bound: Value = (0, 0)


Tell = Callable[[Value | None, Value], None]


def soonest_joined(
    instances: list[FiniteInstance],
    clock: Clock,
    tell: Tell | None = None,
    *,
    complete: bool = True,
    cleared: int | None = None,
    known: Timing | None = None,
) -> Joined:
    """The programme of least value over all ways of joining.

    Parameters
    ----------
    instances : list of FiniteInstance
        The problem of each way of joining.
    clock : Clock
        When it is over, the best found by then is given.
    tell : callable, optional
        Hears the best value so far and the bound.
    complete : bool
        Whether there are no other ways of joining; else nothing is proved.
    cleared : int, optional
        A time by which all loads of the state can be out of the line; with 0 it is empty.
    known : Timing, optional
        How they can be, by that time.
    """
    return _Search(instances, clock, tell, complete, cleared, known).run()


@dataclass
class _Search:
    instances: list[FiniteInstance]
    clock: Clock
    tell: Tell | None
    complete: bool
    cleared: int | None
    known: Timing | None = None
    best: Timing | None = None
    of: FiniteInstance | None = None
    value: Value | None = None
    candidates: list[Candidate] = field(default_factory=list)

    def run(self) -> Joined:
        """All there is to be tried."""
        self.candidates = [Candidate(one, join_bound(one)) for one in self.instances]
        self.candidates.sort(key=lambda one: one.bound)
        self._first()
        self._place(self.clock.share(SHARE))
        with suppress(OutOfTime):
            self._prove()
        self._close()
        done = self.complete and all(one.closed for one in self.candidates)
        status: Status
        if self.best is None:
            status = "infeasible" if done else "unknown"
        else:
            status = "optimal" if done else "feasible"
        return Joined(status, self.of, self.best, self._bound())

    def _bound(self) -> Value:
        if not self.complete:
            return 0, 0
        left = [one.bound for one in self.candidates if not one.closed]
        least = min(left, default=self.value or (0, 0))
        return least if self.value is None else min(least, self.value)

    def _better(self, one: Candidate, timing: Timing) -> None:
        found = value(one.instance, timing)
        if one.best is None or found < one.best:
            one.best = found
        if self.value is None or found < self.value:
            self.best, self.of, self.value = timing, one.instance, found
            self._close()
            if self.tell is not None:
                self.tell(found, self._bound())

    def _close(self) -> None:
        for one in self.candidates:
            if self.value is not None and one.bound >= self.value:
                one.closed = True

    # -- placing loads -----------------------------------------------------------------

    def _first(self) -> None:
        """A first programme: the line runs out, then fills at the times of the cycle."""
        if self.cleared is None:
            return
        for one in self.candidates:
            instance = one.instance
            if any(not load.enters and load.moves[-1] in instance.tied for load in instance.loads):
                continue
            usual = instance.join.usual if instance.join is not None else {}
            first = min([0, *(time for time, _, _ in usual.values())])
            board = _filled(instance, self.cleared + _settled(instance) - first, self.known)
            if board is not None:
                self._better(one, board.timing())
                return

    def _place(self, clock: Clock) -> None:
        """Move the joining forward in every problem, the one of the lowest bound first."""
        rng = Random(self.clock.seed)
        for one in self.candidates:
            if clock.over:
                return
            if not one.closed:
                self._move_forward(one, clock, rng)

    def _move_forward(self, one: Candidate, clock: Clock, rng: Random) -> None:
        instance = one.instance
        low = one.bound[1]
        high = horizon(instance) if self.value is None else self.value[1] - 1
        at = high
        for _ in range(MOVED):
            if clock.over or low > high:
                return
            board = _board(instance, at, rng)
            if board is None:
                low = at + 1
                if at == high:
                    low, high = one.bound[1], at - 1
            else:
                self._better(one, board.timing())
                high = at - 1
            at = (low + high) // 2

    # -- the whole model ----------------------------------------------------------------

    def _prove(self) -> None:
        work = FIRST_WORK
        self.candidates.sort(key=lambda one: (one.best or (EVER, EVER), one.bound))
        while work <= MOST_WORK or self.clock.left is not None:
            left = [one for one in self.candidates if not one.closed]
            if not left:
                return
            for one in left:
                self.clock.check()
                if not one.closed:
                    self._model(one, work)
            if not any(_free(one.instance) <= MOST_FOR_MODEL for one in left):
                return
            work *= 2
            self.candidates.sort(key=lambda one: one.bound)

    def _model(self, one: Candidate, work: float) -> None:
        instance = one.instance
        if _free(instance) > MOST_FOR_MODEL:
            return
        asked = instance.join is not None and bool(instance.join.leaving)
        latest = horizon(instance)
        if self.value is not None:
            latest = min(latest, self.value[1] - 1) if not asked else max(latest, self.value[1])
        model = FiniteModel(instance, latest, self.clock)
        if self.value is not None and asked:
            model.model.add(model.aim < self.value[0] * model.weight + self.value[1])
        model.model.minimize(model.aim)
        status, solver = cpsat.minimise(
            model.model, lambda *_: None, self.clock, work=work, symmetry=False
        )
        if status in ("optimal", "feasible"):
            self._better(one, model.timing(solver))
        if status in ("optimal", "infeasible"):
            one.closed = True
            return
        bound = max(0, -int(-solver.best_objective_bound // 1))
        known = divmod(bound, model.weight) if asked else (0, bound)
        one.bound = max(one.bound, known)
        self._close()


def _settled(instance: FiniteInstance) -> int:
    """A time after the last load is out, by which hoist, ends and carriers are ready."""
    waits = [0, *(instance.hoist or ())]
    for end in instance.ends:
        waits += [end.occupied + 1, *(ready for slot in end.ready for ready in slot)]
    most = max(waits) + max(map(max, instance.empty), default=0)
    if (stock := instance.carriers) is not None:
        most += max([0, *stock.ready]) + max([0, *stock.ahead.values()])
        most += max([0, *stock.behind.values()])
    return most if instance.hoist is not None or not all(x.enters for x in instance.loads) else 0


def _free(instance: FiniteInstance) -> int:
    return len(instance.moves) - len(instance.tied)


def _board(instance: FiniteInstance, at: int, rng: Random) -> Board | None:
    """All loads placed, the cycle joined at a time; None where no order tried leaves room.

    First come those that go out before, then those of the state that take a role, then those
    that enter, the one furthest on its way first.
    """
    order = [n for n, load in enumerate(instance.loads) if load.moves[0] not in instance.tied]
    order.sort(key=lambda number: _turn(instance, number))
    still = [n for n, load in enumerate(instance.loads) if load.moves[0] in instance.tied]
    for _ in range(ORDERS):
        board = Board(instance, at)
        failed = next((number for number in [*still, *order] if not insert(board, number)), None)
        if failed is None:
            return board
        if failed in still:
            return None
        place = order.index(failed)
        order.insert(rng.randrange(place) if place else len(order) - 1, order.pop(place))
    return None


def _turn(instance: FiniteInstance, number: int) -> tuple[int, int, int]:
    load = instance.loads[number]
    until = EVER if load.latest is None else load.latest
    if load.moves[-1] not in instance.tied:
        return 0, until, number
    return 2 if load.enters else 1, 0, number


def _filled(instance: FiniteInstance, at: int, known: Timing | None) -> Board | None:
    """The loads that enter at the times of the cycle, and before them the line run out."""
    assert instance.join is not None
    usual = instance.join.usual
    board = Board(instance, at)
    first = [n for n, load in enumerate(instance.loads) if not load.enters]
    for number in sorted(first, key=lambda number: _turn(instance, number)):
        if known is not None:
            moves = instance.loads[number].moves
            board.put(number, [(known.starts[move], known.routes[move]) for move in moves])
        elif not insert(board, number):
            return None
    for number, load in enumerate(instance.loads):
        if not load.enters:
            continue
        way = []
        for index in load.moves:
            routes = instance.moves[index].routes
            if index in instance.tied:
                way.append((at + instance.tied[index], routes[0]))
                continue
            time, *ends = usual[index]
            meant = [route for route in routes if [route.source, route.target] == ends]
            if not meant:
                return None
            way.append((at + time, meant[0]))
        try:
            board.put(number, way)
        except ValueError:
            return None
    return board
