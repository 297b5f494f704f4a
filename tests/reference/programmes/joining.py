"""The soonest joining of a cycle by brute force: every order of the moves before it.

After any moves in any order the line may hold what the cycle holds at one of its moves. Then
some cycles are made as moves like any others, each tied to the first of them, and the earliest
starts of all follow. Loads may enter that the cycle has no need of.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import permutations
from math import ceil, floor

from hoistopt.problem import Problem
from hoistopt.schedule import LineState, Order, Programme, Schedule, Step

from .programmes import EVER, Brute, Line, Work
from .promised import Promised, entering, ways_promised

Key = tuple[str, int, str]
MOST_MADE = 4_000
"""Moves of cycles made, over all orders, places and carriers; beyond it a case is large."""


MOST_ORDERS = 6_000
"""Moves put into any order before a joining, the same way."""


class TooLarge(Exception):
    """There are too many choices to go through."""


class JoinBrute(Promised, Brute):
    """Least weighted lateness, changeover time and joining, in ticks.

    Parameters
    ----------
    problem, state
        As for :class:`Brute`.
    cycle : Schedule
        Every step names recipe, load, stage and boundaries.
    extra : int
        Loads of each recipe that may enter besides those the cycle needs.
    orders : tuple of Order
        Loads that must have entered before the joining, each of them.
    promised : Programme, optional
        Moves that keep their times, all over before the joining.
    in_order : bool
        Whether the loads of the orders enter in their order.
    """

    def __init__(
        self,
        problem: Problem,
        state: LineState,
        cycle: Schedule,
        extra: int = 0,
        orders: tuple[Order, ...] = (),
        promised: Programme | None = None,
        *,
        in_order: bool = False,
    ) -> None:
        super().__init__(problem, state, (*entering(promised), *orders))
        self.inside = len(self.works)
        self.ordered = range(self.inside - sum(order.count for order in orders), self.inside)
        self.promised = ways_promised(self, promised, state, range(self.ordered.start))
        self.in_order = in_order
        each = [order for order in orders for _ in range(order.count)]
        self.due = {n: order for n, order in zip(self.ordered, each, strict=True) if order.due}
        self.value: tuple[int, int, int] | None = None
        self.made = self.put = 0
        self.joined_at = 0
        self.outs: dict[int, int] = {}
        """When in the cycle it is joined, in the case looked at."""
        scale = 1 / (cycle.ticks_per_unit * self.tick)
        assert scale.denominator == 1
        self.every = cycle.cycle * int(scale)
        self.ways: dict[int, list[tuple[int, Step]]] = {}
        for step in sorted(cycle, key=lambda step: step.stage or 0):
            way = self.ways.setdefault(step.load or 0, [])
            restarts = (step.boundaries or 0) if step.stage else 0
            before = way[-1][0] // self.every if way else 0
            way.append((step.start * int(scale) + (before + restarts) * self.every, step))
        self.recipes = {way[0][1].recipe for way in self.ways.values()}
        self.begins = sorted(time % self.every for way in self.ways.values() for time, _ in way)
        for name in self.recipes:
            most = max(
                sum(way[0][1].recipe == name for way, _ in self.roles(time)) for time in self.begins
            )
            recipe = problem.recipe_by_name[name or ""]
            for _ in range(most + extra):
                self.works.append(Work(recipe, 0, problem.load_station(recipe).name))
        self.asked = [
            n for n, work in enumerate(self.works) if work.recipe.name not in self.recipes
        ]
        longest = max(station.min_occupation for station in problem.stations)
        rest = max(station.min_rest for station in problem.stations)
        memory = max(3 * longest + problem.carriers.return_time, rest)
        names = [station.name for station in problem.stations if self._reached(station.name)]
        way_back = max(self.clock.empty(a, b) for a in names for b in names)
        moved = [
            time[0]
            for way in self.ways.values()
            for _, step in way
            if (time := self.clock.loaded(step.source, step.target, 0)) is not None
        ]
        self.tail = self.every + way_back + 2 * max(moved) + ceil(Fraction(memory) / self.tick)

    def _reached(self, name: str) -> bool:
        served = {step.source for way in self.ways.values() for _, step in way}
        return name in served | {work.place for work in self.works}

    def roles(self, begins: int) -> list[tuple[list[tuple[int, Step]], int]]:
        """The ways of loads in the line at a time of the cycle, and the cycle each entered in."""
        return [
            (way, cycle)
            for way in self.ways.values()
            for cycle in range(-(way[-1][0] // self.every) - 1, 1)
            if way[0][0] + cycle * self.every < begins <= way[-1][0] + cycle * self.every
        ]

    def soonest(self) -> tuple[int, int] | None:
        """Least changeover time, 0 where no load leaves before, then the least joining."""
        least = self.least()
        return None if least is None else least[1:]

    def least(self) -> tuple[int, int, int] | None:  # type: ignore[override]
        """The same after the least weighted lateness."""
        if self.possible:
            self._before(self.line, [work.stage for work in self.works])
        return self.value

    def _before(self, line: Line, stages: list[int]) -> None:
        self.put += 1
        if self.put > MOST_ORDERS:
            raise TooLarge
        finish = self._finish(line)
        if finish is None:
            return
        if self._plain and self.value is not None and finish > self.value[2]:
            return
        done = all(self._through(self.works[load], stages[load]) for load in self.promised)
        if done and all(stages[load] for load in self.ordered):
            for begins in self.begins:
                self._join(line, stages, begins)
        fresh: set[tuple[str, int, int]] = set()
        for load, stage in enumerate(stages):
            work = self.works[load]
            if stage == 0:  # loads that have not entered are alike
                own = load in self.due or load in self.promised or self.in_order
                kind = work.recipe.name, work.low, load if own else load in self.ordered
                if kind in fresh or not self._may_enter(load, stages):
                    continue
                fresh.add(kind)
            if not self._through(work, stage):
                for longer in self._steps(line, load, stage):
                    self._before(longer, [s + (n == load) for n, s in enumerate(stages)])

    @property
    def _plain(self) -> bool:
        """Whether nothing but the joining is to be least."""
        return not self.asked and not self.due

    def _may_enter(self, load: int, stages: list[int]) -> bool:
        before = [other for other in self.ordered if other < load]
        return not self.in_order or load not in self.ordered or all(stages[n] for n in before)

    def _through(self, work: Work, stage: int) -> bool:
        return stage > self._last(work.recipe) - (not self.by_hoist)

    # -- joining ------------------------------------------------------------------------

    def _join(self, line: Line, stages: list[int], begins: int) -> None:
        """Join the cycle at a move, with every choice of who takes which role."""
        here = [
            n for n, stage in enumerate(stages) if stage and not self._through(self.works[n], stage)
        ]
        roles = self.roles(begins)
        if len(here) != len(roles):
            return
        place = {load: name for name, loads in line.standing.items() for load in loads}
        wanted: list[Key] = []
        for way, cycle in roles:
            _, step = next(one for one in way if one[0] + cycle * self.every >= begins)
            wanted.append((step.recipe or "", step.stage or 0, step.source))
        for loads in permutations(here):
            if any(load in self.promised for load in loads):
                continue
            held = [(self.works[n].recipe.name, stages[n], place[n]) for n in loads]
            if held != wanted:
                continue
            moves: list[tuple[int, int, Step]] = []
            self.works = self.works[: len(stages)]
            for (way, cycle), load in zip(roles, loads, strict=True):
                moves += [
                    (at, load, step)
                    for time, step in way
                    if 0 <= (at := time + cycle * self.every - begins) <= self.tail
                ]
            self.outs = {
                load: way[self._last(self.works[load].recipe) - 1][0] + cycle * self.every - begins
                for (way, cycle), load in zip(roles, loads, strict=True)
            }
            moves += self._following(begins)
            moves.sort(key=lambda one: one[0])
            self.joined_at = begins
            self._tail(line, moves, len(line.moves), 0)
            self.works = self.works[: len(stages)]

    def _following(self, begins: int) -> Iterator[tuple[int, int, Step]]:
        """Moves of the loads that enter after the joining."""
        for way in self.ways.values():
            cycle = 0
            while (first := way[0][0] + cycle * self.every - begins) <= self.tail:
                if first >= 0:
                    recipe = self.problem.recipe_by_name[way[0][1].recipe or ""]
                    self.works.append(Work(recipe, 0, way[0][1].source))
                    for time, step in way:
                        if time + cycle * self.every - begins <= self.tail:
                            at = time + cycle * self.every - begins
                            yield at, len(self.works) - 1, step
                cycle += 1

    def _tail(self, line: Line, moves: list[tuple[int, int, Step]], first: int, place: int) -> bool:
        """Make the moves of the cycle from one on; whether a better programme was found."""
        self.made += 1
        if self.made > MOST_MADE:
            raise TooLarge
        joined = self._earliest(line)
        if joined is None:
            return False
        if place == len(moves):
            return self._found(line, first, joined)
        if place and self._plain and self.value is not None and joined[first] >= self.value[2]:
            return False
        time, load, step = moves[place]
        better = False
        for longer in self._steps(line, load, step.stage or 0):
            if longer.moves[-1].target != step.target or longer.moves[-1].source != step.source:
                continue
            if place:
                number = len(longer.moves) - 1
                tied = [(first, number, time), (number, first, -time)]
                longer = Line(
                    longer.standing,
                    longer.slots,
                    longer.carriers,
                    longer.moves,
                    [*longer.arcs, *tied],
                )
            better |= self._tail(longer, moves, first, place + 1)
        return better

    def _found(self, line: Line, first: int, starts: list[int]) -> bool:
        outs = [
            n
            for n, move in enumerate(line.moves[:first])
            if move.load in self.asked and self._out(move.load, move.stage)
        ]
        late, limits = self._lateness(line, first, starts)
        found = (late, 0, starts[first])
        if outs:
            last = outs[-1]
            move = line.moves[last]
            as_late = Line(
                line.standing, line.slots, line.carriers, line.moves, [*line.arcs, *limits]
            )
            longest = self._from(as_late, last)
            apart = longest[first]
            arcs = [*as_late.arcs, (first, last, -apart)]
            fixed = self._earliest(Line(line.standing, line.slots, line.carriers, line.moves, arcs))
            assert fixed is not None
            found = (late, apart - move.ticks + self._first_out(), fixed[first])
        if self.value is None or found < self.value:
            self.value = found
            return True
        return False

    def _lateness(
        self, line: Line, first: int, starts: list[int]
    ) -> tuple[int, list[tuple[int, int, int]]]:
        """Weighted lateness where every move is made as early as it can be, and the demands
        that nothing be later than that or than it is due."""
        total, limits = 0, []
        for load, order in self.due.items():
            assert order.due is not None
            due = floor(order.due / self.tick)
            recipe = self.works[load].recipe
            if self.outs.get(load, -1) >= 0:
                number, after = first, self.outs[load] + self._ticks_out(load)
            else:
                last = self._last(recipe) - 1
                number = next(
                    n for n, m in enumerate(line.moves[:first]) if (m.load, m.stage) == (load, last)
                )
                after = line.moves[number].ticks
            late = max(0, starts[number] + after - due)
            total += round(order.weight * 1000) * late
            limits.append((number, -1, -max(due - after, starts[number])))
        return total, limits

    def _ticks_out(self, load: int) -> int:
        """Of the move of the cycle that takes a load out of the line."""
        recipe = self.works[load].recipe
        last = self._last(recipe) - 1
        for way in self.ways.values():
            time, step = way[last] if len(way) > last else (0, None)
            if step is None or step.recipe != recipe.name:
                continue
            if (time - self.joined_at - self.outs[load]) % self.every:
                continue
            ticks = self.clock.loaded(step.source, step.target, recipe.stages[-1].drip)
            assert ticks is not None
            return ticks[0]
        raise AssertionError

    def _out(self, load: int, stage: int) -> bool:
        return stage == self._last(self.works[load].recipe) - 1

    def _first_out(self) -> int:
        """From the joining to the end of the first move out of the line."""
        least = EVER
        for way in self.ways.values():
            recipe = self.problem.recipe_by_name[way[0][1].recipe or ""]
            time, step = way[self._last(recipe) - 1]
            drip = recipe.stages[-1].drip
            ticks = self.clock.loaded(step.source, step.target, drip)
            assert ticks is not None
            least = min(least, (time - self.joined_at) % self.every + ticks[0])
        return least

    def _earliest(self, line: Line) -> list[int] | None:
        """Earliest starts of all moves; None where the demands go round in a circle."""
        starts = [0] * (len(line.moves) + 1)  # the last is time 0, by index -1
        for _ in range(len(starts) + 2):
            changed = False
            for a, b, length in line.arcs:
                if starts[a] + length > starts[b]:
                    starts[b] = starts[a] + length
                    changed = True
            if not changed:
                return None if starts[-1] > 0 else starts
        return None

    def _from(self, line: Line, source: int) -> list[int]:
        """Longest ways from a move to all others."""
        far = [-EVER * 10] * (len(line.moves) + 1)
        far[source] = 0
        changed = True
        while changed:
            changed = False
            for a, b, length in line.arcs:
                if far[a] > -EVER * 10 and far[a] + length > far[b]:
                    far[b] = far[a] + length
                    changed = True
        return far
