"""Several objectives in order: each at its best, as far as the ones before it allow."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any, Literal

from ..base.clock import Clock, OutOfTime
from ..instance import Instance
from ..schedule import Schedule
from .cpsat import run_model
from .model.build import build_model, lowest_cycle
from .model.decode import decode
from .model.objectives import MARGINS, OBJECTIVES, Margins, no_margins, tightened
from .model.variables import Variables
from .several.travels import travels_of

NAMES = (*MARGINS, *OBJECTIVES)
Tell = Callable[[str, int | None], None]
"""Hears which objective is sought and the best value so far, in ticks or a count."""
Keeps = Callable[[Schedule], Callable[[Margins], bool]]
"""Of a schedule of the instance, at its own times: whether it keeps margins."""
DrawnOut = Callable[[Schedule, int, str, Margins, Clock], Schedule | None]
"""The order of a schedule at a cycle, with much of one margin, others kept if they can be."""
OF_TIMES = ("cycle", "nominal")
"""Objectives that an order of moves alone does not settle."""
POINTS = 4
"""Cycles, up to the longest allowed, to which the order of the schedule at hand is drawn out."""
SHARE = 0.25
"""Of the time left, what one try for more of a margin may take: those for less come after it."""
LEAST_SECONDS = 0.2
"""What a try may take all the same."""


@dataclass(frozen=True)
class Attained:
    """One objective's value: ticks, or a number of loads; whether it is proven best."""

    name: str
    value: int
    proven: bool


@dataclass(frozen=True)
class Settled:
    """The outcome; `margins` are those the schedule was held to.

    Objectives are missing in `attained` from the one on of which nothing is known, as a
    stop came, or the time was up before its model was built.
    """

    status: Literal["found", "infeasible", "unknown"]
    attained: tuple[Attained, ...]
    schedule: Schedule | None
    margins: Margins


def settle(
    instance: Instance,
    objectives: Sequence[str],
    clock: Clock | None = None,
    *,
    each: float | None = None,
    tell: Tell | None = None,
    known: Schedule | None = None,
    margins: Margins | None = None,
    keeps: Keeps | None = None,
    drawn_out: DrawnOut | None = None,
) -> Settled:
    """Seek the schedules best by the first objective, of those the best by the second, ...

    Parameters
    ----------
    instance : Instance
        Its `longest` must say how long the cycle may be.
    objectives : sequence of str
        Names out of :data:`NAMES`. "slack" and "float" are made large, all others small.
    clock : Clock, optional
        For all of it.
    each : float, optional
        Seconds for each objective. One that runs out of time keeps the best value found,
        or that of the schedule at hand where it is better, and is not proven.
    tell : callable, optional
        Called at the start of each objective and at every new value.
    known : Schedule, optional
        A schedule of the solver's for this instance, to begin with.
    margins : Margins, optional
        To be kept in any case, by `known` too.
    keeps : callable, optional
        What tells the margins that a schedule has already, so that no search ends below them.
    drawn_out : callable, optional
        What gives a schedule more margin in a longer cycle, its order kept: where the search
        begins if its time is limited. With `keeps` only.
    """
    clock = Clock() if clock is None else clock
    search = _Search(instance, clock, each, tell, keeps, drawn_out)
    if margins is not None:
        search.margins = margins
    return search.run(objectives, known)


class _Search:
    def __init__(
        self,
        instance: Instance,
        clock: Clock,
        each: float | None,
        tell: Tell | None,
        keeps: Keeps | None = None,
        drawn_out: DrawnOut | None = None,
    ) -> None:
        self.instance, self.clock, self.each = instance, clock, each
        self.tell = tell or (lambda name, value: None)
        self.keeps, self.drawn_out = keeps, drawn_out
        self.margins = no_margins(instance)
        self.attained: list[Attained] = []
        self.schedule: Schedule | None = None
        self._hint: list[tuple[str, int]] = []

    def run(self, objectives: Sequence[str], known: Schedule | None) -> Settled:
        """All objectives in turn, after any schedule at all; a stop leaves the rest out."""
        if known is None:
            self.tell("schedule", None)
            try:
                status = self._try(self.margins, None, self.clock.part(self.each))
            except OutOfTime:
                status = "unknown"
            if status in ("infeasible", "unknown"):
                nothing: Any = status
                return Settled(nothing, (), None, self.margins)
        else:
            self.schedule, self._hint = known, _values(self.instance, known)
        for name in objectives:
            self.tell(name, None)
            clock = self.clock.part(self.each)
            try:
                attained = (self._most if name in MARGINS else self._least)(name, clock)
            except OutOfTime:
                break
            self.attained.append(attained)
        return Settled("found", tuple(self.attained), self.schedule, self.margins)

    def _model(self, margins: Margins, clock: Clock) -> tuple[Variables, dict[str, Any]]:
        """The rules of the line, margins, and what the objectives so far have come to."""
        variables = build_model(
            tightened(self.instance, margins), self.instance.longest, clock=clock
        )
        built: dict[str, Any] = {}
        for done in self.attained:
            if done.name in OBJECTIVES:
                built[done.name] = OBJECTIVES[done.name](variables)
                variables.model.add(built[done.name] <= done.value)
        return variables, built

    def _try(self, margins: Margins, name: str | None, clock: Clock) -> str:
        """Look for a schedule, the best by an objective; keep it and its value."""
        variables, built = self._model(margins, clock)
        value: Any = None
        if name is not None:
            value = built[name] if name in built else OBJECTIVES[name](variables)
            if not isinstance(value, int):
                variables.model.minimize(value)
        self._give_hint(variables)
        status, solver = run_model(variables.model, clock)
        if status in ("optimal", "feasible"):
            schedule = decode(variables, solver.value)
            if self.instance.several is not None:
                travels = travels_of(variables.instance, schedule)
                if travels is None:
                    return "unknown"
                schedule = replace(schedule, travels=travels)
            self.schedule, self.margins = schedule, margins
            self._take_hint(variables, solver)
            if name is not None:
                self.value = value if isinstance(value, int) else solver.value(value)
        return status

    def _least(self, name: str, clock: Clock) -> Attained:
        """The least value of an objective; with time up, the least found."""
        before = self.schedule, self._hint
        status = self._try(self.margins, name, clock)
        # Of several hoists the schedule at hand need not be in the model's statement.
        if status not in ("optimal", "feasible"):
            self.value = self._value_now(name)
        elif status == "feasible" or clock.left is not None:
            self._not_worse(name, before)
        self.tell(name, self.value)
        return Attained(name, self.value, status == "optimal")

    def _not_worse(self, name: str, before: tuple[Schedule | None, list[tuple[str, int]]]) -> None:
        """Go back to the schedule before the search, unless the one found has a lower value.

        Aims that come later begin with what that schedule had of them.
        """
        if before[0] is None:
            return
        found = self.schedule, self._hint
        self.schedule, self._hint = before
        value = self._value_at_hand(name)
        if value is not None and value <= self.value:
            self.value = value
        else:
            self.schedule, self._hint = found

    def _value_now(self, name: str) -> int:
        """What an objective comes to in the schedule at hand."""
        value = self._value_at_hand(name)
        if value is None:
            self.clock.check()
            if self.instance.several is not None:
                raise OutOfTime  # times drawn together need not be in the model's statement
        assert value is not None, "the schedule at hand is one of the model's"
        return value

    def _value_at_hand(self, name: str) -> int | None:
        """The same; None where that was not to be had."""
        if name == "cycle":
            assert self.schedule is not None
            return self.schedule.cycle
        variables, _ = self._model(self.margins, self.clock)
        value = OBJECTIVES[name](variables)
        if isinstance(value, int):
            return value
        for variable, hinted in self._named(variables):
            variables.model.add(variable == hinted)
        variables.model.minimize(value)
        status, solver = run_model(variables.model, self.clock)
        return int(solver.value(value)) if status == "optimal" else None

    def _most(self, name: str, clock: Clock) -> Attained:
        """The most of a margin, by halving: where less is asked for, no schedule is lost.

        What the schedule at hand has is the least that it comes to. Under a time limit the
        search is for more than that, and than its order has in a longer cycle; tries that
        took their share of the time without an answer are made again while some is left.
        """
        given, begun, high = self.margins, (self.schedule, self._hint), self._most_possible(name)
        own = self._own(name, high)
        low, found, again = 0, False, True
        if clock.left is not None:
            low = self._draw_out(name, own, high, _share(clock))
            self.margins = MARGINS[name](self.instance, low, given)
            self.tell(name, low)
        while again and low < high:
            top, again = high, False
            while low < top:
                middle, status = (low + top + 1) // 2, "unknown"
                part = _share(clock)
                if not clock.over:
                    with suppress(OutOfTime):
                        status = self._try(MARGINS[name](self.instance, middle, given), None, part)
                if status in ("optimal", "feasible"):
                    low, found = middle, True
                    self.tell(name, low)
                    continue
                top = middle - 1
                if status == "infeasible":
                    high = top
                else:
                    again = again or (part.over and not clock.over)
        if not found and low < high:
            self.clock.check()  # a stop before anything was found
        if low < own:
            low, self.margins = own, MARGINS[name](self.instance, own, given)
            self.schedule, self._hint = begun
        return Attained(name, low, low >= high)

    def _draw_out(self, name: str, own: int, most: int, clock: Clock) -> int:
        """Take the order of the schedule at hand at the cycle where it has most of a margin.

        Only while nothing is settled that other times of the same order change.
        """
        longest = self.instance.longest
        if self.drawn_out is None or self.schedule is None or longest is None:
            return own
        if any(done.name in OF_TIMES for done in self.attained):
            return own
        best, begun = own, self.schedule
        for point in range(POINTS + 1):
            cycle = begun.cycle + (longest - begun.cycle) * point // POINTS
            if clock.over:
                break
            tried = self.drawn_out(begun, cycle, name, self.margins, clock)
            kept, hint = self.schedule, self._hint
            if tried is None or tried.cycle > longest:
                continue
            self.schedule, self._hint = tried, _values(self.instance, tried)
            has = self._own(name, most)
            if has > best:
                best = has
            else:
                self.schedule, self._hint = kept, hint
        return best

    def _own(self, name: str, most: int) -> int:
        """As much of a margin as the schedule at hand has, at its own times."""
        longest = self.instance.longest
        if self.keeps is None or self.schedule is None or longest is None:
            return 0
        if self.schedule.cycle > longest:
            return 0
        given, keeps = self.margins, self.keeps(self.schedule)
        low, high = 0, most
        while low < high:
            middle = (low + high + 1) // 2
            kept = keeps(MARGINS[name](self.instance, middle, given))
            low, high = (middle, high) if kept else (low, middle - 1)
        return low

    def _most_possible(self, name: str) -> int:
        """As much of a margin as the bounds on the cycle time leave room for."""
        longest = self.instance.longest
        assert longest is not None, "without a limit on the cycle time there is none to margins"
        given = self.margins

        def margin(ticks: int) -> Margins:
            return MARGINS[name](self.instance, ticks, given)

        def room(ticks: int) -> bool:
            return lowest_cycle(tightened(self.instance, margin(ticks))) <= longest

        # Beyond the widest window nothing changes any more.
        limits = [stay.most for stay in self.instance.stays if stay.most is not None]
        low, high = 0, max(longest, *limits) if limits else longest
        whole = margin(high)
        while low < high:
            self.clock.check()  # on a line of hundreds of tanks each look takes its time
            middle = (low + high + 1) // 2
            low, high = (middle, high) if room(middle) else (low, middle - 1)
        return min(low, max(whole.rooms if name == "slack" else whole.floats))

    def _named(self, variables: Variables) -> list[tuple[Any, int]]:
        values = dict(self._hint)
        return [(variable, values[name]) for name, variable in _decisions(variables)]

    def _take_hint(self, variables: Variables, solver: Any) -> None:
        self._hint = [(name, solver.value(v)) for name, v in _decisions(variables)]

    def _give_hint(self, variables: Variables) -> None:
        if self._hint:
            for variable, value in self._named(variables):
                variables.model.add_hint(variable, value)


def _share(clock: Clock) -> Clock:
    """What one of many tries may take; all the time there is where it has no limit."""
    left = clock.left
    return clock if left is None else clock.part(max(SHARE * left, LEAST_SECONDS))


def _decisions(variables: Variables) -> list[tuple[str, Any]]:
    """The cycle time and the starts that are free, each under a name of its own."""
    anchor = variables.instance.first_moves[0]
    free = [(f"t{move}", v) for move, v in enumerate(variables.start) if move != anchor]
    return [("T", variables.cycle), *free]


def _values(instance: Instance, schedule: Schedule) -> list[tuple[str, int]]:
    """The decisions behind a schedule of the solver's, as :func:`_decisions` names them.

    Loads are numbered as they enter, and jobs of one recipe enter by their numbers.
    """
    loads: dict[str, list[int]] = {}
    for step in sorted(schedule.steps, key=lambda step: step.load or 0):
        if step.stage == 0:
            loads.setdefault(step.recipe or "", []).append(step.load or 0)
    of_job = [loads[recipe].pop(0) for recipe in instance.recipes]
    starts = {(step.load, step.stage): step.start for step in schedule.steps}
    values = [("T", schedule.cycle)]
    values += [(f"t{m.index}", starts[of_job[m.job], m.stage]) for m in instance.moves]
    return values


def limited(instance: Instance, longest: int) -> Instance:
    """The instance with no cycle longer than so many ticks."""
    if instance.longest is not None:
        longest = min(longest, instance.longest)
    return replace(instance, longest=longest)
