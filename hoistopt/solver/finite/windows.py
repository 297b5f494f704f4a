"""Make a programme better within a window of time, exactly, with the rest held.

Moves in a window are free, or all moves of a few loads. What comes before keeps its times. What
comes after is brought forward as a whole, by as much as the window can spare: a finish that
hangs on the very last move falls with every window that gets shorter. A large neighbourhood
search, Shaw (1998), "Using constraint programming and local search methods to solve vehicle
routing problems", CP 1998, 417-431.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from ...base.clock import Clock, OutOfTime
from ...instance import Move, Route, Stay
from ...instance.finite import FiniteInstance
from .. import cpsat
from .held import Held
from .model import FiniteModel
from .times import Timing, lateness, value

WORK = 0.2
"""Most work on one window, in CP-SAT's own measure, about seconds."""
FEWEST, FIRST, MOST = 12, 30, 110
"""Free moves of a window at the fewest, at first and at the most."""
GROWN, SHRUNK = 1.03, 0.9
"""How the size of windows changes after one that was settled, and one that was not."""
BY_FINISH = 0.3
"""Share of the windows that are for the finish while loads are late, as late as they are."""
BY_TIME = 0.7
"""Share of windows that are a stretch of time; the others are a few loads as a whole."""


class Windows:
    """Windows of a programme, one after another; their size follows from how they fare.

    Parameters
    ----------
    instance : FiniteInstance
    rng : Random
        Where they lie.
    """

    def __init__(self, instance: FiniteInstance, rng: Random) -> None:
        self.instance, self.rng = instance, rng
        self.size = float(FIRST)

    def look(self, timing: Timing, clock: Clock) -> Timing:
        """A programme no worse than the one given, after a look at a window for each thread.

        Parameters
        ----------
        timing : Timing
            Breaks no rule.
        clock : Clock
            Its time and its threads.
        """
        parts = self._parts(timing, clock.workers)
        one = clock.part(workers=1)
        if len(parts) == 1:
            found = [parts[0].best(one)]
        else:
            with ThreadPoolExecutor(len(parts)) as pool:
                found = list(pool.map(lambda part: part.best(one), parts))
        changed = timing
        for _, better in sorted(found, key=lambda each: -each[1].cut if each[1] else 0):
            changed = changed if better is None else better.made(changed)
        for settled, _ in found:
            self.size *= GROWN if settled else SHRUNK
        self.size = max(FEWEST, min(self.size, MOST, len(self.instance.moves)))
        if value(self.instance, changed) > value(self.instance, timing):
            return timing
        return changed

    def _parts(self, timing: Timing, number: int) -> list[_Part]:
        """Windows that have nothing to do with each other."""
        parts: list[_Part] = []
        for _ in range(2 * number):
            by_finish = self.rng.random() < BY_FINISH
            part = _Part(self.instance, timing, *self._chosen(timing), by_finish)
            if not any(part.meets(other) for other in parts):
                parts.append(part)
            if len(parts) == number:
                break
        return parts

    def _chosen(self, timing: Timing) -> tuple[frozenset[int], int]:
        """Moves to be free, and the time from which on the others come forward."""
        starts, size = timing.starts, round(self.size)
        if self.rng.random() < BY_TIME:
            free_ones = (m for m in range(len(starts)) if m not in self.instance.promised)
            order = sorted(free_ones, key=lambda move: (starts[move], move))
            at = self.rng.randrange(max(1, len(order) - size // 2))
            free = order[at : at + size]
            return frozenset(free), starts[free[-1]] + 1
        open_ = (load for load in self.instance.loads if not self.instance.is_promised(load))
        loads = sorted(open_, key=lambda load: starts[load.moves[0]])
        free = []
        for load in loads[self.rng.randrange(len(loads)) :]:
            if free and len(free) + len(load.moves) > size:
                break
            free += load.moves
        first, last = min(starts[move] for move in free), max(starts[move] for move in free)
        return frozenset(free), self.rng.randrange(first, last + 1) + 1


@dataclass(frozen=True)
class _Change:
    """New times in one window; what is not in it and starts from `cut` on comes forward."""

    starts: dict[int, int]
    routes: dict[int, Route]
    cut: int
    forward: int

    def made(self, timing: Timing) -> Timing:
        """A timing with the change."""
        starts = [s - self.forward if s >= self.cut else s for s in timing.starts]
        routes = list(timing.routes)
        for move, start in self.starts.items():
            starts[move], routes[move] = start, self.routes[move]
        return Timing(tuple(starts), tuple(routes))


@dataclass(frozen=True)
class _Near:
    """The loads a window has to do with, as an instance of its own."""

    instance: FiniteInstance
    moves: tuple[int, ...]
    loads: tuple[int, ...]


class _Part:
    """One window: its free moves, and what is held."""

    def __init__(
        self,
        instance: FiniteInstance,
        timing: Timing,
        free: frozenset[int],
        cut: int,
        by_finish: bool,
    ) -> None:
        self.instance, self.timing, self.free, self.cut = instance, timing, free, cut
        self.by_finish = by_finish
        starts = timing.starts
        self.low = min(starts[move] for move in free)
        self.high = max(max(starts[move] for move in free), cut - 1)
        self.most = max(0, min(cut - self.low, self._room()))
        self.near = self._near()
        self.loads = {instance.moves[move].job for move in free}

    def meets(self, other: _Part) -> bool:
        """Whether a change in one window could make one in the other impossible."""
        near, theirs = set(self.near.loads), set(other.near.loads)
        return bool(self.loads & theirs or other.loads & near)

    def _room(self) -> int:
        """Ticks by which what comes later may come forward, for what is so from the beginning."""
        instance, starts = self.instance, self.timing.starts
        ready = [0, *(max(map(max, end.ready)) for end in instance.ends)]
        ready += [instance.rests.get(place, 0) for place in instance.resting]
        stock = instance.carriers
        if stock is not None:
            ready += [time + max(0, *stock.ahead.values()) for time in stock.ready]
        if instance.hoist is not None:
            ready += instance.hoist
        for move in instance.moves if instance.begins else ():
            ready += [last + 1 for route in move.routes for _, last in instance.barred(route)]
        if any(start >= self.cut for start in instance.promised.values()):
            return 0
        room = self.cut - max(ready)
        for load in instance.loads:
            if load.enters and starts[load.moves[0]] >= self.cut:
                room = min(room, starts[load.moves[0]] - load.earliest)
        return room

    def _near(self) -> _Near:
        """Loads on the line between some time before the window and some time after it."""
        instance, timing = self.instance, self.timing
        reach = max(map(max, instance.empty)) + 1
        reach += 2 * max(route.duration for move in instance.moves for route in move.routes)
        reach += max([0, *(end.occupied for end in instance.ends), *instance.rests.values()]) + 1
        stock = instance.carriers
        if stock is not None:
            reach += max([0, *stock.ahead.values()]) + max([0, *stock.behind.values()])
        first, last = self.low - reach, self.high + self.most + reach
        kept = [
            number
            for number, load in enumerate(instance.loads)
            if timing.starts[load.moves[0]] <= last and timing.end(load.moves[-1]) >= first
        ]
        return _taken(instance, timing, self.free, kept)

    def best(self, clock: Clock) -> tuple[bool, _Change | None]:
        """Whether the window is settled, and the best change found; None without any."""
        try:
            return self._best(clock)
        except OutOfTime:
            return False, None

    def _best(self, clock: Clock) -> tuple[bool, _Change | None]:
        near, starts = self.near, self.timing.starts
        kept: dict[int, int] = {}
        later: dict[int, int] = {}
        for new, old in enumerate(near.moves):
            if old not in self.free:
                (kept if starts[old] < self.cut else later)[new] = starts[old]
        held = Held(kept, later, self.most if later or self._beyond() else 0, self.low, self.high)
        finish = self.timing.finish
        built = FiniteModel(near.instance, finish, clock, held)
        for load in self._beyond():
            end = self.timing.end(self.instance.loads[load].moves[-1])
            built.model.add(built.aim >= end - built.forward)
        late = lateness(self.instance, self.timing)
        weighted = built.lateness() + self._late_beyond(built)
        built.model.add(weighted <= late - self._late_before())
        built.model.minimize(weighted if late and not self.by_finish else built.aim)
        built.hint(
            Timing(
                tuple(starts[old] for old in near.moves),
                tuple(self.timing.routes[old] for old in near.moves),
            )
        )
        status, solver = cpsat.minimise(
            built.model, lambda best, bound: None, clock, work=WORK, symmetry=False
        )
        if status not in ("optimal", "feasible"):
            return False, None
        return status == "optimal", self._change(built, solver)

    def _beyond(self) -> list[int]:
        """Loads that come after the window and are not near it."""
        near, starts = set(self.near.loads), self.timing.starts
        return [
            number
            for number, load in enumerate(self.instance.loads)
            if number not in near and starts[load.moves[0]] >= self.cut
        ]

    def _late_beyond(self, built: FiniteModel) -> Any:
        terms: list[Any] = []
        for number in self._beyond():
            load = self.instance.loads[number]
            outlet = self.instance.outlet(load)
            if load.due is None or outlet is None:
                continue
            end = self.timing.end(outlet)
            if end <= load.due:
                continue
            late = built.model.new_int_var(0, end - load.due, "")
            built.model.add(late >= end - built.forward - load.due)
            terms.append(load.weight * late)
        return sum(terms)

    def _late_before(self) -> int:
        """Weighted lateness of the loads that neither are near the window nor come after it."""
        near, total = {*self.near.loads, *self._beyond()}, 0
        for number, load in enumerate(self.instance.loads):
            outlet = self.instance.outlet(load)
            if number not in near and load.due is not None and outlet is not None:
                total += load.weight * max(0, self.timing.end(outlet) - load.due)
        return total

    def _change(self, built: FiniteModel, solver: cpsat.cp_model.CpSolver) -> _Change:
        found = built.timing(solver)
        new = {old: place for place, old in enumerate(self.near.moves) if old in self.free}
        return _Change(
            {old: found.starts[place] for old, place in new.items()},
            {old: found.routes[place] for old, place in new.items()},
            self.cut,
            solver.value(built.forward),
        )


def _taken(
    instance: FiniteInstance, timing: Timing, free: frozenset[int], kept: Sequence[int]
) -> _Near:
    """An instance of some loads only; moves that are not free have the one route they take."""
    moves: list[Move] = []
    olds: list[int] = []
    loads = []
    number: dict[int, int] = {}
    by_entry = sorted(kept, key=lambda load: timing.starts[instance.loads[load].moves[0]])
    place = {load: new for new, load in enumerate(kept)}
    rank = {load: place for place, load in enumerate(by_entry)}
    for job, old_load in enumerate(kept):
        load = instance.loads[old_load]
        for old in load.moves:
            number[old] = len(moves)
            move = instance.moves[old]
            routes = move.routes if old in free else (timing.routes[old],)
            moves.append(replace(move, index=len(moves), job=job, routes=routes))
            olds.append(old)
        # Like loads enter in the order of their numbers; which is which makes no difference.
        known = load.number if instance.sequence else rank[old_load]
        loads.append(replace(load, number=known, moves=tuple(number[m] for m in load.moves)))
    stays: list[Stay] = []
    for stay in instance.stays:
        if stay.arrival in number:
            into, out = number[stay.arrival], number[stay.departure]
            stays.append(replace(stay, index=len(stays), arrival=into, departure=out))
    stock = instance.carriers
    if stock is not None:
        # Carriers that loads had in the beginning, and which they have brought back.
        gone = set(range(len(instance.loads))) - set(kept)
        back = [n for n in gone if not instance.loads[n].enters]
        stock = replace(stock, ready=(*stock.ready, *(0 for _ in back)))
    near = replace(
        instance,
        moves=tuple(moves),
        stays=tuple(stays),
        loads=tuple(loads),
        carriers=stock,
        outlets=frozenset(number[m] for m in instance.outlets if m in number),
        sequence=tuple(place[load] for load in instance.sequence if load in place),
        promised={number[m]: t for m, t in instance.promised.items() if m in number},
        late_most=None,
    )
    return _Near(near, tuple(olds), tuple(kept))
