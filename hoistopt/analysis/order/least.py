"""A given order of moves: its least cycle time, or why it cannot work."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from ...base.clock import Clock, OutOfTime
from ...base.effort import Effort, Progress, effort_of
from ...checker import accepted
from ...conflict.demands import demands
from ...conflict.mus import Oracle, UnsatisfiableSubset, minimal_subset
from ...graph.algorithms.cycle_ratio import Least, least_cycle_of
from ...graph.from_instance import instance_graph
from ...graph.pattern import Pattern, pattern_of
from ...graph.retiming import schedule_of
from ...graph.turns import in_turn, most_turning
from ...instance import Instance
from ...problem import Problem
from ...schedule import Schedule
from ...solver import build_model, least_cycle, least_that_keeps, run_model
from ...solver.model.constraints import Rule
from ...solver.model.decode import decode
from .answer import Ordered
from .deadlock import Deadlock, deadlock_of
from .model import OrderRule
from .places import entering_fault, lifted_elsewhere, mixed_up, place_faults
from .reading import Reading, reading_of

USUAL_LIMIT = 60.0
"""Seconds for the whole inquiry where nothing else is said."""


def least_for_order(
    problem: Problem,
    order: Schedule,
    *,
    compare: bool = True,
    effort: Effort | None = None,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> Ordered:
    """The least cycle time with the moves in a given order, or why there is none.

    Parameters
    ----------
    problem : Problem
        The line.
    order : Schedule
        Only the order of its steps counts, and what they say of recipes, loads, stages
        and restarts; :func:`hoistopt.read_order` reads one without times.
    compare : bool
        Whether to look for the best order of the same degree, too.
    effort : Effort, optional
        Its time limit is for the whole. Without an effort, 60 seconds.
    time_limit, workers, seed, on_progress
        Single parts of an effort, instead of it.

    Raises
    ------
    InputError
        When the problem cannot be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> found = hoistopt.least_for_order(problem, result.schedule)
    >>> found.status, found.cycle_time
    ('runs', Fraction(234, 1))
    """
    effort = effort_of(
        effort,
        time_limit=time_limit,
        workers=workers,
        seed=seed,
        on_progress=on_progress,
        usual_limit=USUAL_LIMIT,
    )
    clock = Clock(effort)
    reading = reading_of(problem, order)
    if not isinstance(reading, Reading):
        return Ordered("cannot", problem.unit, faults=tuple(reading))
    search = _Search(problem, reading, clock)
    found = search.plain() if reading.plain else search.open()
    if found.status == "runs" and compare:
        found = search.compared(found)
    return found


class _Search:
    def __init__(
        self,
        problem: Problem,
        reading: Reading,
        clock: Clock,
    ) -> None:
        self._problem = problem
        self._reading = reading
        self._instance = reading.instance
        self._clock = clock

    def plain(self) -> Ordered:
        """An order that leaves only the times open: all of it is in the graph."""
        reading, instance = self._reading, self._instance
        faults = lifted_elsewhere(reading) or [
            *place_faults(self._problem, reading.steps),
            *mixed_up(reading),
            *entering_fault(reading),
        ]
        if faults:
            return self._cannot(tuple(dict.fromkeys(faults)))
        pattern = _plain_pattern(reading)
        least = least_cycle_of(instance_graph(instance, pattern))
        if least.cycle is None:
            reason = deadlock_of(self._problem, instance, pattern, least)
            return self._cannot((), deadlock=reason)
        return self._runs(pattern, least, exact=True)

    def open(self) -> Ordered:
        """An order with loads, places or restarts left open: the solver decides them."""
        problem, instance = self._problem, self._instance
        self._news("the least cycle time of the order")
        if instance.several is not None:
            return self._of_several()
        ways: tuple[Mapping[str, Rule], ...] = tuple(
            {"given order": OrderRule(self._reading, first)} for first in self._reading.firsts
        )
        best: tuple[Pattern, Least] | None = None
        proved = True
        for rules in ways:
            schedule, settled = self._shortest(rules)
            proved = proved and settled
            if schedule is not None:
                pattern = pattern_of(problem, instance, schedule)
                least = least_cycle_of(instance_graph(instance, pattern))
                assert least.cycle is not None and least.cycle <= schedule.cycle
                if best is None or least.cycle < (best[1].cycle or 0):
                    best = (pattern, least)
        if best is not None:
            return self._runs(*best, exact=proved)
        if not proved:
            return Ordered("unknown", problem.unit, degree=instance.degree)
        faults = [
            *place_faults(problem, self._reading.steps),
            *entering_fault(self._reading),
        ]
        if faults:
            return self._cannot(tuple(faults))
        return self._conflicting(ways)

    def _of_several(self) -> Ordered:
        """An order of moves of several hoists: the solver decides all that it leaves open."""
        instance = self._instance
        best: Schedule | None = None
        exact, possible = True, False
        ways = [OrderRule(self._reading, first) for first in self._reading.firsts]
        for rule in ways:
            found = least_that_keeps(instance, rule, self._clock.share(0.4))
            exact = exact and found.status in ("optimal", "infeasible")
            possible = possible or found.status != "infeasible"
            if found.schedule is not None and (best is None or found.schedule.cycle < best.cycle):
                best = found.schedule
        if best is not None:
            return self._shown(best, exact=exact)
        if possible:
            return Ordered("unknown", self._problem.unit, degree=instance.degree)
        return self._conflicting(tuple({"given order": rule} for rule in ways))

    def _conflicting(self, ways: tuple[Mapping[str, Rule], ...]) -> Ordered:
        """What cannot be kept together in the order."""
        self._news("what this order cannot keep together")
        problem, instance = self._problem, self._instance
        asked = demands(problem, instance)
        oracle = Oracle(problem, instance, asked, self._clock.share(0.9), ways=ways)
        oracle.answers[frozenset(asked)] = False
        conflict = minimal_subset(oracle)
        if not conflict.demands:
            return self._cannot(
                ("A carrier would have to be lifted where none stands, whatever the times.",)
            )
        return self._cannot((), conflict=conflict)

    def _shortest(self, rules: Mapping[str, Rule]) -> tuple[Schedule | None, bool]:
        """A shortest schedule that keeps rules besides the line's, and whether that is proved."""
        clock = self._clock.share(0.4)
        try:
            variables = build_model(self._instance, rules=rules, clock=clock)
        except OutOfTime:
            return None, False
        variables.model.minimize(variables.cycle)
        status, solver = run_model(variables.model, clock)
        found = status in ("optimal", "feasible")
        schedule = decode(variables, solver.value) if found else None
        return schedule, status in ("optimal", "infeasible")

    def compared(self, found: Ordered) -> Ordered:
        """The same, with the best of all orders beside it."""
        if self._clock.over:
            return found
        self._news("the best order of the same degree")
        instance = self._instance
        best = least_cycle(instance, self._clock.part())
        assert found.cycle_time is not None
        shortest = found.cycle_time
        if best.schedule is not None:
            shortest = min(shortest, best.schedule.time(best.schedule.cycle))
        return Ordered(
            found.status,
            found.unit,
            found.exact,
            found.cycle_time,
            found.schedule,
            found.replay,
            degree=found.degree,
            best=shortest,
            best_bound=Fraction(best.bound) / instance.ticks_per_unit,
        )

    def _runs(self, pattern: Pattern, least: Least, *, exact: bool) -> Ordered:
        assert least.cycle is not None and least.starts is not None
        first = self._first_of_table(pattern)
        schedule = schedule_of(self._instance, pattern, least.starts, least.cycle, first)
        return self._shown(schedule, exact=exact)

    def _shown(self, schedule: Schedule, *, exact: bool) -> Ordered:
        seen = accepted(self._problem, schedule, made_here=True)
        return Ordered(
            "runs",
            self._problem.unit,
            exact,
            schedule.time(schedule.cycle),
            schedule,
            seen,
            degree=self._instance.degree,
        )

    def _first_of_table(self, pattern: Pattern) -> int:
        """The move that the table's first step is."""
        wanted = [(step.source, step.target) for step in self._reading.steps]
        routes = [
            (self._name(pattern.routes[m].source), self._name(pattern.routes[m].target))
            for m in pattern.order
        ]
        turns = [t for t in range(len(routes)) if routes[t:] + routes[:t] == wanted]
        return pattern.order[turns[0]] if turns else pattern.order[0]

    def _name(self, place: int) -> str:
        return self._instance.places[place].name

    def _cannot(
        self,
        faults: Sequence[str],
        deadlock: Deadlock | None = None,
        conflict: UnsatisfiableSubset | None = None,
    ) -> Ordered:
        return Ordered(
            "cannot",
            self._problem.unit,
            faults=tuple(faults),
            deadlock=deadlock,
            conflict=conflict,
            degree=self._instance.degree,
        )

    def _news(self, words: str) -> None:
        self._clock.tell(words)


def _plain_pattern(reading: Reading) -> Pattern:
    """The one pattern of an order that leaves only the times open."""
    instance: Instance = reading.instance
    steps = tuple(options[0] for options in reading.options)
    first = steps[instance.first_moves[0]]
    turn = {move: (step - first) % len(steps) for move, step in enumerate(steps)}
    routes = []
    for move, step in zip(instance.moves, steps, strict=True):
        given = (reading.steps[step].source, reading.steps[step].target)
        routes.append(
            next(
                route
                for route in move.routes
                if (instance.places[route.source].name, instance.places[route.target].name) == given
            )
        )
    heights = tuple(int(turn[s.arrival] > turn[s.departure]) for s in instance.stays)
    turns = tuple(
        () if chain.most is None else in_turn(chain, turn, most_turning(chain, turn) or 0)
        for chain in instance.turnrounds
    )
    order = tuple(sorted(turn, key=turn.__getitem__))
    return Pattern(order, tuple(routes), heights, turns, steps)
