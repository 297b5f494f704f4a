"""The most margin a fixed order of moves has at its cycle time: float, then slack.

All moves get more float together, as far as that goes; those that can go on get more yet.
All that a start may be late for good is what the arcs out of it leave, so this asks for
starts x with x[head] - x[tail] >= length - height * T + late[tail]: longest paths. Then all
dwells get room below their maxima in the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import NamedTuple

from ..base.clock import Clock
from ..instance import Instance, Stay
from ..instance.margins import Margins
from ..problem import Problem
from ..schedule import Schedule
from .algorithms.longest_path import longest_paths
from .from_instance import instance_graph
from .pattern import Pattern, pattern_of
from .retiming import retimed, schedule_of


def spread_float(
    problem: Problem,
    instance: Instance,
    schedule: Schedule,
    rooms: Sequence[int],
    floats: Sequence[int] | None = None,
) -> Schedule:
    """The same pattern and cycle time, its float shared out.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line, and its instance of the degree of the schedule.
    schedule : Schedule
        On the grid of the instance, the first load's first move at 0.
    rooms : sequence of int
        Ticks to keep below the maximum of each stay of the instance; the schedule does.
    floats : sequence of int, optional
        Ticks of float that each move keeps in any case; the schedule does.

    Returns
    -------
    Schedule
        Its least float is as large as the pattern allows at this cycle time, and no move
        can be given a tick more without another losing one. Of moves that could only
        share a single tick, those with the lower numbers get it.
    """
    spread = _Spread(problem, instance, schedule, rooms)
    if floats is not None:
        spread.late = list(floats)
    spread.share_float()
    return spread.schedule()


def spread_margin(
    problem: Problem, instance: Instance, schedule: Schedule, clock: Clock | None = None
) -> Schedule:
    """The same pattern and cycle time with the most margin.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line, and its instance of the degree of the schedule. Where it was made for a
        margin asked for, what is shared out comes on top of that.
    schedule : Schedule
        On the grid of the instance, the first load's first move at 0.
    clock : Clock, optional
        When it is over, what has been shared out by then is kept.

    Returns
    -------
    Schedule
        Its least float is as large as can be; of all such its least room below a maximum
        is. In both, a window narrower than that keeps all it has to give. Of all such its
        dwells miss the nominal ones by the least total; where no stage has a nominal
        dwell, none can be given more room, and then no move more float, without another
        losing some.
    """
    spread = _Spread(problem, instance, schedule, [0] * len(instance.stays), clock)
    spread.raise_float()
    spread.raise_room()
    if any(stay.nominal is not None for stay in instance.stays):
        spread.near_nominal()
    else:
        spread.share_room()
        spread.share_float()
    return spread.schedule()


def drawn_out(
    problem: Problem,
    instance: Instance,
    schedule: Schedule,
    cycle: int,
    name: str,
    given: Margins,
    clock: Clock,
) -> Schedule | None:
    """The same order of moves in a longer cycle, with the most of one margin.

    Parameters
    ----------
    problem, instance : Problem, Instance
        A line with one hoist, and its instance of the degree of the schedule.
    schedule : Schedule
        On the grid of the instance, the first load's first move at 0.
    cycle : int
        Ticks. Where the order has no such cycle, the next that it has is taken.
    name : {"slack", "float"}
    given : Margins
        To be kept besides, if they can be; else the schedule has no more of the margin.
    clock : Clock
        When it is over, what has been shared out by then is kept.

    Returns
    -------
    Schedule or None
        None where the order has no cycle in whole ticks.
    """
    pattern = pattern_of(problem, instance, schedule)
    wanted = [schedule.steps[step].start for step in pattern.steps]
    found = retimed(instance_graph(instance, pattern), wanted, cycle)
    if found is None:
        return None
    longer = schedule_of(instance, pattern, found[1], found[0])
    spread = _Spread(problem, instance, longer, given.rooms, clock)
    spread.late = list(given.floats)
    if name == "float":
        spread.raise_float()
    else:
        spread.raise_room()
    return spread.schedule()


class _Broken(NamedTuple):
    """Arcs that form a circuit which is too long, and the most ticks with which it may not be."""

    circuit: tuple[int, ...]
    most: int


def _level(values: Sequence[int], by: int) -> int:
    """The highest level to which values are cut when that takes so many ticks off them in all."""
    high, total = sorted(values, reverse=True), 0
    for number, value in enumerate(high, start=1):
        total += value
        level = (total - by) // number
        if number == len(high) or level >= high[number]:
            return level
    return 0


def _alike(which: Sequence[int], ticks: int) -> dict[int, int]:
    return dict.fromkeys(which, ticks)


class _Spread:
    """Starts, what each move may be late, and the room of each dwell, on the way to the best.

    Arcs from a move to itself are left out: its starts cancel.
    """

    def __init__(
        self,
        problem: Problem,
        instance: Instance,
        schedule: Schedule,
        rooms: Sequence[int],
        clock: Clock | None = None,
    ) -> None:
        self.instance, self.given = instance, schedule
        self.pattern: Pattern = pattern_of(problem, instance, schedule)
        self.clock = Clock() if clock is None else clock
        self.cycle = schedule.cycle
        graph = instance_graph(instance, self.pattern)
        arcs = tuple(arc for arc in graph.arcs if arc.tail != arc.head)
        stays = {(stay.departure, stay.arrival): stay.index for stay in instance.stays}
        self.weights = replace(graph, arcs=arcs).weights(Fraction(self.cycle))
        self.dwells = [
            stays[arc.tail, arc.head] if arc.rule == "maximum" else -1 for arc in arcs
        ]  # by arc: the stay whose maximum it is
        self.starts = [schedule.steps[step].start for step in self.pattern.steps]
        self.late = [0] * len(self.starts)
        self.rooms = list(rooms)

    def raise_float(self) -> None:
        """Give all moves the same float, or what the windows next to them are wide enough for."""

        def given(ticks: int) -> list[int]:
            found = [ticks] * len(self.late)
            for stay in self.instance.stays:
                if stay.most is not None:
                    half = self._wide(stay) // 2
                    found[stay.arrival] = min(found[stay.arrival], half)
                    found[stay.departure] = min(found[stay.departure], half)
            return found

        self._raise(self.late, given)

    def raise_room(self) -> None:
        """Give all dwells the same room, or what their windows are wide enough for."""

        def given(ticks: int) -> list[int]:
            return [
                0
                if stay.most is None
                else max(0, min(ticks, self._wide(stay) - self.late[stay.arrival]))
                for stay in self.instance.stays
            ]

        self._raise(self.rooms, given)

    def _wide(self, stay: Stay) -> int:
        assert stay.most is not None
        return max(0, stay.most - stay.least - self.pattern.routes[stay.arrival].shaved)

    def _raise(self, values: list[int], given: Callable[[int], list[int]]) -> None:
        """Raise values together as far as they go."""
        self._go_up(values, 0, lambda ticks: dict(enumerate(given(ticks))))

    def _go_up(self, values: list[int], low: int, wanted: Callable[[int], dict[int, int]]) -> int:
        """Raise values to what is wanted for the most ticks that can be, and say how many.

        Each circuit that is too long says with how many ticks it might not be: few steps from
        above, where halving takes one for each bit of the cycle time (W. Dinkelbach, 1967,
        Management Science 13, 492-498).

        Parameters
        ----------
        values : list of int
            :attr:`late` or :attr:`rooms`, changed in place.
        low : int
            Ticks that can be.
        wanted : callable
            What the values are to be at the least, by number, for so many ticks: those, or
            the most that one can have where that is less.
        """
        ticks = self.cycle
        while low < ticks and not self.clock.over:
            broken = self._keep(values, wanted(ticks))
            if broken is None:
                return ticks
            ticks = max(low, broken.most)
        return low

    def share_float(self) -> None:
        """Give the moves what they may be late for good."""
        self._share(self.late, range(len(self.late)))

    def share_room(self) -> None:
        """Give the dwells room below their maxima."""
        limited = [stay.index for stay in self.instance.stays if stay.most is not None]
        # A dwell has at least the room that the float of the move out of it takes.
        for stay in limited:
            out = self.instance.stays[stay].departure
            self.rooms[stay] = max(self.rooms[stay], self.late[out])
        self._share(self.rooms, limited)

    def near_nominal(self) -> None:
        """Move dwells near the nominal ones: a linear program, whole as all its circuits are."""
        wanted = [stay for stay in self.instance.stays if stay.nominal is not None]
        if not wanted or self.clock.over:
            return
        from ortools.linear_solver import pywraplp

        solver = pywraplp.Solver.CreateSolver("GLOP")
        starts = [solver.NumVar(-solver.infinity(), solver.infinity(), "") for _ in self.starts]
        solver.Add(starts[self.pattern.order[0]] == 0)
        arcs = self._weighted()
        for tail, head, weight in arcs:
            solver.Add(starts[head] - starts[tail] >= weight)
        off = []
        for stay in wanted:
            assert stay.nominal is not None
            a, b = stay.arrival, stay.departure
            dwell = starts[b] - starts[a] + self.pattern.heights[stay.index] * self.cycle
            dwell -= self.pattern.routes[a].duration + stay.nominal
            off.append(solver.NumVar(0, solver.infinity(), ""))
            solver.Add(off[-1] >= dwell)
            solver.Add(off[-1] >= -dwell)
        solver.Minimize(solver.Sum(off))
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return
        found = [round(start.solution_value()) for start in starts]
        if all(found[head] - found[tail] >= weight for tail, head, weight in arcs):
            self.starts = found

    def schedule(self) -> Schedule:
        """The schedule with the starts at hand."""
        by_step = dict(zip(self.pattern.steps, self.starts, strict=True))
        steps = (replace(s, start=by_step[n]) for n, s in enumerate(self.given.steps))
        return Schedule(self.cycle, self.given.ticks_per_unit, tuple(steps))

    def _share(self, values: list[int], which: Iterable[int]) -> None:
        """Raise all together as far as they go; hold back those that cannot go on."""
        free = set(which)
        while free and not self.clock.over:
            together = sorted(free)
            begin = min(values[one] for one in together)
            low = self._go_up(values, begin, partial(_alike, together))
            free = self._go_on(values, together, low + 1)

    def _go_on(self, values: list[int], free: Sequence[int], ticks: int) -> set[int]:
        """One by one, those that can have so many ticks, one more than they have all together.

        Of those that hold each other back some go on, some do not. A circuit that leaves no
        tick to one leaves none to the others on it.
        """
        on, held = set(), set[int]()
        for one in free:
            if one in held:
                continue
            broken = self._keep(values, {one: ticks})
            if broken is None:
                on.add(one)
            else:
                ends = (self._lengthened(arc, values) for arc in broken.circuit)
                held |= {other for other, by in ends if by >= 0 and values[other] < ticks}
        return on

    def _keep(self, values: list[int], wanted: dict[int, int]) -> _Broken | None:
        """Let these have so much as well, or what they have; else say what is against it."""
        before = {one: values[one] for one in wanted}
        for one, value in wanted.items():
            values[one] = max(before[one], value)
        arcs = self._weighted()
        starts, circuit = longest_paths(arcs, self.starts)  # they move on from those at hand
        if starts is None:
            too_long = sum(arcs[arc][2] for arc in circuit)
            ends = [self._lengthened(arc, values) for arc in circuit]
            grown = [
                values[one]
                for one, by in ends
                if by > 0 and one in before and values[one] > before[one]
            ]
            for one, value in before.items():
                values[one] = value
            return _Broken(circuit, _level(grown, too_long))
        zero = starts[self.pattern.order[0]]
        self.starts = [start - zero for start in starts]
        return None

    def _lengthened(self, arc: int, values: list[int]) -> tuple[int, int]:
        """Which of the values makes an arc longer, and by how much more than the other kind."""
        tail, stay = self.weights[arc][0], self.dwells[arc]
        late, room = self.late[tail], self.rooms[stay] if stay >= 0 else 0
        if values is self.late:
            return tail, late - room
        return stay, room - late if stay >= 0 else -1

    def _weighted(self) -> list[tuple[int, int, int]]:
        """Arcs leave what their tails may be late; maxima at least the rooms of their dwells."""
        late, rooms = self.late, [*self.rooms, 0]  # by index -1, for arcs of no dwell
        return [
            (tail, head, length + (late[tail] if late[tail] > rooms[stay] else rooms[stay]))
            for (tail, head, length), stay in zip(self.weights, self.dwells, strict=True)
        ]
