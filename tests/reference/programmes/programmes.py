"""The least finish of a finite problem by brute force: every order of the moves, in absolute time.

Each order of all moves, with every choice of tanks, of places at the ends of the line and of
carriers, makes every demand a difference of two starts; the earliest starts follow. Left out are
orders that only rename loads alike that are yet to enter, and those whose moves so far end too
late for the moves that are left, which the hoist makes one after another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil, floor
from typing import NamedTuple

from hoistopt.problem import Problem, Recipe
from hoistopt.schedule import LineState, Order

from ..clock import Clock, left_over

EVER = 10**9

Arc = tuple[int, int, int]
"""Two moves, -1 being time 0, and the least ticks from the start of the one to the other."""


class Made(NamedTuple):
    """A move in an order: load, stage left, from, to, ticks, what is left of the last tick."""

    load: int
    stage: int
    source: str
    target: str
    ticks: int
    left: int


@dataclass
class Work:
    """A load and where it is: the stage it stands in, 0 before it enters."""

    recipe: Recipe
    stage: int
    place: str
    low: int = 0
    high: int = EVER


@dataclass
class Line:
    """What stands where, in an order half made."""

    standing: dict[str, list[int]]
    slots: dict[str, list[tuple[str, int, int]]]
    carriers: list[tuple[str, int]] | None
    moves: list[Made] = field(default_factory=list)
    arcs: list[tuple[int, int, int]] = field(default_factory=list)
    known: int = 0
    """So many of the arcs are looked at in `starts`."""
    starts: list[int] = field(default_factory=list)
    """Earliest starts of the moves, as far as they are known; more arcs only make them later."""


class Brute:
    """Least finish from a state, for whole ticks that the problem states."""

    def __init__(self, problem: Problem, state: LineState, orders: tuple[Order, ...]) -> None:
        self.problem, self.clock = problem, Clock(problem)
        self.tick = self.clock.tick
        self.by_hoist = problem.carriers.return_ == "hoist"
        self.best: int | None = None
        self.works: list[Work] = []
        self.hoist = state.hoist
        self.possible = True
        self.line = Line({}, {}, None)
        self._state(state.numbered())
        for order in orders:
            recipe = problem.recipe_by_name[order.recipe]
            for _ in range(order.count):
                low = ceil(order.release / self.tick)
                self.works.append(Work(recipe, 0, problem.load_station(recipe).name, low))

    def _last(self, recipe: Recipe) -> int:
        return len(recipe.stages) + 1

    def _state(self, state: LineState) -> None:
        problem, tick = self.problem, self.tick
        here: dict[str, list[Fraction]] = {}
        self._left: dict[str, list[int]] = {}
        for place in state.resting:
            ticks = floor(place.empty_for.least / tick)
            self._left.setdefault(place.station, []).append(-ticks)
        back: list[Fraction] = [span.most for span in state.returning]
        for entry in state.standing:
            station = problem.station_by_name[entry.station]
            recipe = problem.recipe_by_name[entry.recipe] if entry.recipe else None
            if recipe is None or (entry.stage == self._last(recipe) and not self.by_hoist):
                here.setdefault(entry.station, []).append(entry.stood.least)
                if recipe is not None and not station.loads:
                    way = Fraction(station.min_occupation) + Fraction(problem.carriers.return_time)
                    back.append(way - entry.stood.least)
                elif station.unloads or self.by_hoist or recipe is not None:
                    back.append(-entry.stood.least)
                continue
            self._stands(recipe, entry.stage, entry.station, -entry.stood.most, -entry.stood.least)
        self._ends(state, here)
        back += self._carried(state)
        self._held = {name: len(loads) for name, loads in self.line.standing.items()}
        for name, left in self._left.items():
            # What the hoist carries is set down in any case, in the place left first.
            places = problem.station_by_name[name].capacity
            assert isinstance(places, int)
            left.sort()
            del left[: max(0, self._held.get(name, 0) + len(left) - places)]
        if problem.carriers.count is not None:
            spare = problem.carriers.count - len(back) - len(self.works)
            times = [ceil(time / tick) for time in back] + [-EVER] * spare
            self.line.carriers = [("ready", time) for time in times]

    def _carried(self, state: LineState) -> list[Fraction]:
        """What the hoist carries; when its carrier is back, if it leaves the line."""
        hoist = state.hoist
        if hoist is None or hoist.carries is None:
            return []
        recipe = self.problem.recipe_by_name[hoist.carries.recipe]
        stage = hoist.carries.stage + 1
        free = hoist.free_in
        if stage <= self._last(recipe) - (not self.by_hoist):
            self._stands(recipe, stage, hoist.station, free.least, free.most)
            return []
        station = self.problem.station_by_name[hoist.station]
        occupied = Fraction(station.min_occupation)
        if (slots := self.line.slots.get(hoist.station)) is not None:
            time = ceil((free.most + occupied) / self.tick)
            taken = slots.index(min(slots, key=lambda slot: slot[2]))
            self.possible &= slots[taken][2] <= floor(free.most / self.tick)
            slots[taken] = ("state", time, time)
        way = Fraction(self.problem.carriers.return_time)
        return [free.most + (0 if station.loads else occupied + way)]

    def _stands(
        self, recipe: Recipe, stage: int, place: str, early: Fraction, late: Fraction
    ) -> None:
        tick = self.tick
        work = Work(recipe, stage, place)
        if stage < self._last(recipe):
            given = recipe.stages[stage - 1]
            work.low = max(0, ceil((late + Fraction(given.min)) / tick))
            if given.max is not None:
                work.high = floor((early + Fraction(given.max)) / tick)
                needed = self.clock.up(given.min)
                # A fixed dwell is kept to within a tick.
                held = needed * tick <= given.max
                if held and work.high < work.low <= early / tick + needed + 1:
                    work.high = work.low
        else:
            occupied = Fraction(self.problem.station_by_name[place].min_occupation)
            work.low = max(0, ceil((late + occupied) / tick))
        self.possible &= work.low <= work.high
        self.line.standing.setdefault(place, []).append(len(self.works))
        self.works.append(work)

    def _ends(self, state: LineState, here: dict[str, list[Fraction]]) -> None:
        for station in self.problem.stations:
            if station.capacity == "unlimited" or not (station.loads or station.unloads):
                continue
            if self.by_hoist and not station.loads:
                continue
            occupied = Fraction(station.min_occupation)
            slots = [
                ("state", *[ceil((occupied - stood) / self.tick)] * 2)
                for stood in here.get(station.name, [])
            ]
            unknown = -EVER if state.hoist is None else ceil(occupied / self.tick)
            slots += [("state", unknown, -EVER)] * (station.capacity - len(slots))
            self.line.slots[station.name] = slots

    # -- the search -------------------------------------------------------------------

    def least(self) -> int | None:
        """The least finish in ticks; None where there is no programme."""
        if self.possible:
            self._alike = [self._like(load) for load in range(len(self.works))]
            self._ahead = [self._least_left(work) for work in self.works]
            self._go(self.line, [work.stage for work in self.works])
        return self.best

    def _like(self, load: int) -> int | None:
        """The last load before it that is like it and yet to enter; None if there is none."""
        work = self.works[load]
        like = [other for other in range(load) if work.stage == 0 and self.works[other] == work]
        return max(like, default=None)

    def _least_left(self, work: Work) -> list[int]:
        """By stage of the load, the ticks of its moves from there on, by the quickest ways."""
        last = self._last(work.recipe)
        load = self.problem.load_station(work.recipe).name
        unload = self.problem.unload_station(work.recipe).name
        places = [(load,), *(stage.station for stage in work.recipe.stages), (unload,), (load,)]
        places[work.stage] = (work.place,)
        left = [0] * (last + 2)
        for stage in range(last - (not self.by_hoist), -1, -1):
            drip = work.recipe.stages[stage - 1].drip if 0 < stage < last else 0
            times = (
                self.clock.loaded(source, target, drip)
                for source in places[stage]
                for target in places[stage + 1]
            )
            quickest = min((time[0] for time in times if time is not None), default=0)
            left[stage] = left[stage + 1] + quickest
        return left

    def _go(self, line: Line, stages: list[int]) -> None:
        finish = self._finish(line)
        if finish is None:
            return
        soonest = finish + sum(left[stage] for left, stage in zip(self._ahead, stages, strict=True))
        if self.best is not None and soonest >= self.best:
            return
        through = [
            stage > self._last(work.recipe) - (not self.by_hoist)
            for work, stage in zip(self.works, stages, strict=True)
        ]
        if all(through):
            self.best = finish
            return
        for load, done in enumerate(through):
            like = self._alike[load]
            if not done and (like is None or stages[like] > 0):
                for longer in self._steps(line, load, stages[load]):
                    onward = [s + (n == load) for n, s in enumerate(stages)]
                    self._go(longer, onward)

    def _steps(self, line: Line, load: int, stage: int) -> Iterator[Line]:
        work = self.works[load]
        last = self._last(work.recipe)
        mine = [move for move in line.moves if move.load == load]
        source = mine[-1].target if mine else work.place
        if stage == last:
            targets: tuple[str, ...] = (self.problem.load_station(work.recipe).name,)
        elif stage == last - 1:
            targets = (self.problem.unload_station(work.recipe).name,)
        else:
            targets = work.recipe.stages[stage].station
        mass, payload = work.recipe.mass, self.problem.hoist.payload
        if mass is not None and payload is not None and mass > payload:
            return
        drip = work.recipe.stages[stage - 1].drip if 0 < stage < last else 0
        for target in targets:
            time = self.clock.loaded(source, target, drip)
            if time is None:
                continue
            exact = self.clock.exactly(source, target, drip)
            assert exact is not None
            move = Made(load, stage, source, target, time[0], left_over(exact, self.tick))
            inside = stage < last - (not self.by_hoist)
            yield from self._made(line, work, move, inside)

    def _made(self, line: Line, work: Work, move: Made, inside: bool) -> Iterator[Line]:
        standing = {name: list(loads) for name, loads in line.standing.items()}
        station = self.problem.station_by_name[move.target]
        if move.stage:
            leaves = self.problem.station_by_name[move.source]
            if leaves.order == "fifo" and standing[move.source][0] != move.load:
                return
            standing[move.source].remove(move.load)
        if inside:
            there = standing.setdefault(move.target, [])
            if station.capacity != "unlimited" and len(there) >= station.capacity:
                return
            there.append(move.load)
        number = len(line.moves)
        arcs = [*line.arcs, *self._arcs(line, work, move, number)]
        fresh = Line(
            standing, line.slots, line.carriers, [*line.moves, move], arcs, line.known, line.starts
        )
        for entered in self._at_end(fresh, move, number, lifts=True) if not move.stage else [fresh]:
            if inside:
                yield entered
            else:
                yield from self._at_end(entered, move, number, lifts=False)

    def _arcs(
        self, line: Line, work: Work, move: Made, number: int
    ) -> Iterator[tuple[int, int, int]]:
        """Demands start(b) - start(a) >= length as (a, b, length); -1 is time 0."""
        yield -1, number, 0
        if self.hoist is not None:
            free = ceil(self.hoist.free_in.most / self.tick)
            yield -1, number, free + self.clock.empty(self.hoist.station, move.source)
        before: int | None = None
        for other, made in enumerate(line.moves):
            yield other, number, made.ticks + self.clock.empty(made.target, move.source)
            if made.load == move.load:
                before = other
        yield from self._rest(line, work, move, number)
        if before is None:
            yield -1, number, work.low
            if work.high < EVER:
                yield number, -1, -work.high
            return
        ticks = line.moves[before].ticks
        if move.stage == self._last(work.recipe):
            least = self.clock.up(self.problem.station_by_name[move.source].min_occupation)
            yield before, number, ticks + least
            return
        stage = work.recipe.stages[move.stage - 1]
        low, high = self.clock.window(stage, longer=line.moves[before].left > 0)
        yield before, number, ticks + low
        if high is not None:
            yield number, before, -ticks - high

    def _rest(self, line: Line, work: Work, move: Made, number: int) -> Iterator[Arc]:
        """A load that comes to a place which rests comes late enough after the one before.

        Of loads that came, number n has a place once the one that left as number n - places has
        left it for long enough.
        """
        station = self.problem.station_by_name[move.target]
        if not station.min_rest or move.stage >= len(work.recipe.stages):
            return
        assert isinstance(station.capacity, int)
        known = self._left.get(move.target, [])
        came = len(known) + self._held.get(move.target, 0)
        came += sum(made.target == move.target for made in line.moves)
        if came < station.capacity:
            return
        early = Fraction(move.left - 10**20, 10**40)  # roots are cut off
        apart = ceil(Fraction(station.min_rest) / self.tick + early) - move.ticks
        gone = [(-1, left) for left in known]
        gone += [(other, 0) for other, made in enumerate(line.moves) if made.source == move.target]
        other, since = gone[came - station.capacity]
        yield other, number, since + apart

    def _at_end(self, line: Line, move: Made, number: int, *, lifts: bool) -> Iterator[Line]:
        """Every choice of a place, and of a carrier, at an end of the line."""
        name = move.source if lifts else move.target
        for placed in self._at_place(line, name, move, number, lifts=lifts):
            if placed.carriers is None:
                yield placed
            elif not lifts:
                used = [*placed.carriers, ("back", number)]
                yield replace(placed, carriers=used)
            else:
                occupied = self.clock.up(self.problem.station_by_name[name].min_occupation)
                for taken, (kind, when) in enumerate(placed.carriers):
                    if (kind, when) in placed.carriers[:taken]:
                        continue  # one is as good as another
                    arc = (
                        (-1, number, when + occupied)
                        if kind == "ready"
                        else (when, number, self._back(placed.moves[when]) + occupied)
                    )
                    left = [c for place, c in enumerate(placed.carriers) if place != taken]
                    yield replace(placed, carriers=left, arcs=[*placed.arcs, arc])

    def _back(self, move: Made) -> int:
        station = self.problem.station_by_name[move.target]
        if station.loads:
            return move.ticks
        way = Fraction(station.min_occupation) + Fraction(self.problem.carriers.return_time)
        return move.ticks + ceil(way / self.tick)

    def _at_place(
        self, line: Line, name: str, move: Made, number: int, *, lifts: bool
    ) -> Iterator[Line]:
        slots = line.slots.get(name)
        if slots is None:
            yield line
            return
        occupied = self.clock.up(self.problem.station_by_name[name].min_occupation)
        own = 0 if lifts else move.ticks
        for place in range(len(slots)):
            kind, first, second = slots[place]
            if slots[place] in slots[:place]:
                continue  # one is as good as another
            if kind == "state":
                arc = (-1, number, (first if lifts else second) - own)
            elif lifts:
                arc = (first, number, second + occupied)
            elif kind == "lift":
                arc = (first, number, -own)
            else:
                more = move.left > line.moves[first].left
                arc = (first, number, second + occupied + more - own)
            after = list(slots)
            after[place] = ("lift" if lifts else "lower", number, own)
            yield replace(line, slots={**line.slots, name: after}, arcs=[*line.arcs, arc])

    def _finish(self, line: Line) -> int | None:
        """The earliest end of all moves so far; None where the demands go round in a circle."""
        count = len(line.moves)
        more = count - len(line.starts)
        starts = [*line.starts, *[0] * (more + 1)]  # the last is time 0, by index -1
        arcs = line.arcs[line.known :]
        # All arcs of the newest moves are among the new; the others count where one before moves.
        before = len(line.starts)
        for _ in range(2 * count + 4):
            changed = False
            for a, b, length in arcs:
                if starts[a] + length > starts[b]:
                    starts[b] = starts[a] + length
                    changed = True
                    if b < before:
                        arcs = line.arcs
            if not changed:
                break
        else:
            return None
        if starts.pop() > 0:
            return None
        line.known, line.starts = len(line.arcs), starts
        return max(
            (start + m.ticks for start, m in zip(starts, line.moves, strict=True)), default=0
        )
