"""The table of a programme: a list of steps run once, and the cycle that may follow it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from ..base.errors import InputError
from ..base.numbers.exact import Numeral, number_in_code
from ..checker import LoadStay, ProgrammeRun, accepted, accepted_programme
from ..graph.from_replay import timed_plan
from ..graph.lateness import exceeded_above
from ..margin.once import OnceLimit, once_limits
from ..problem import Problem
from ..problem.numbering import numbered
from ..schedule import LineState, Programme, Schedule
from .figures import Figures
from .formats.words import begins_with
from .joining import joined, line_of, parted
from .once_rounding import WholeProgramme
from .table import SequencerStep, SequencerTable, sequencer_table
from .units import TimeUnit, time_unit


def programme_table(
    problem: Problem,
    programme: Programme,
    state: LineState | None = None,
    then: Schedule | None = None,
    joins: Numeral | None = None,
    unit: str | TimeUnit = "ms",
    stations: Literal["own", "list", "track"] | Mapping[str, int] = "list",
    first_station: int = 0,
    lost: Iterable[int] = (),
) -> SequencerTable:
    """The table of a programme, alone or with the cycle that follows it.

    Parameters
    ----------
    problem : Problem
        The line.
    programme : Programme
        Moves in absolute time that the checker accepts. Where it goes on as a cycle, that is
        the cycle that follows, and the list is what comes before.
    state : LineState, optional
        What stands where when it begins; by default the line is empty.
    then : Schedule, optional
        The cycle that follows. Structured text and PLCopen XML ask for one.
    joins : number, optional
        When that cycle begins, in the problem's unit from the beginning of the programme.
    unit, stations, first_station
        As of :func:`sequencer_table`.
    lost : iterable of int, optional
        Loads of the state that are given up: they may stand longer than their maxima.

    Raises
    ------
    ProgrammeRefused, Refused
        When the checker refuses the programme, the cycle, or the one after the other.
    InputError
        When the cycle does not lift a load that stands in the line when it begins, the unit is
        unknown or too coarse, or the numbers of the stations are wrong.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> cycle = hoistopt.solve(problem).schedule
    >>> filling = hoistopt.unroll(cycle, 2, run_out=False)
    >>> table = hoistopt.programme_table(problem, filling, then=cycle, joins=2 * cycle.cycle_time)
    >>> len(table.once), len(table.steps), table.joins
    (6, 5, 468000)
    """
    unit = time_unit(unit)
    numbers = numbered(problem, stations, first_station)
    if not len(programme):
        raise InputError("a programme of at least one move", field="programme")
    begins_at = None if joins is None else Fraction(number_in_code(joins))
    if programme.repeats is not None:
        if then is not None or begins_at is not None:
            raise InputError(
                "no other cycle, as the programme says how it goes on",
                field="then" if then is not None else "joins",
                value=None if then is not None else joins,
            )
        accepted_programme(problem, programme, state, lost=lost)
        programme, then, begins_at = parted(programme)
    given = accepted_programme(problem, programme, state, lost=lost)
    if then is None:
        if joins is not None:
            raise InputError("the cycle that begins then as well", field="joins", value=joins)
        return _table(WholeProgramme(problem, given, unit), numbers, None)
    if begins_at is None:
        raise InputError("the time at which the cycle begins as well", field="joins")
    line = line_of(problem, then)
    seen = accepted(line, then)
    cycle = sequencer_table(line, then, unit, stations, first_station, seen)
    begins = joined(given, seen, begins_at)
    return _table(WholeProgramme(line, given, unit, begins, cycle), numbers, cycle)


def _table(
    whole: WholeProgramme, numbers: Mapping[str, int], cycle: SequencerTable | None
) -> SequencerTable:
    rows = _Rows(whole, numbers)
    steps: tuple[SequencerStep, ...] = () if cycle is None else cycle.steps
    names = dict(zip(numbers.values(), numbers, strict=True))
    return SequencerTable(
        line=whole.problem.name,
        unit=whole.unit,
        cycle=0 if cycle is None else cycle.cycle,
        steps=tuple(
            replace(
                step,
                step=step.step + whole.once,
                fed_by=None if step.fed_by is None else step.fed_by + whole.once,
                feeds=None if step.feeds is None else step.feeds + whole.once,
                approach=rows.figures.approach(names[step.pick]),
            )
            for step in steps
        ),
        stations=tuple((number, name) for name, number in numbers.items()),
        recipes=tuple(recipe.name for recipe in whole.problem.recipes),
        once=tuple(rows.row(number) for number in range(whole.once)),
        joins=whole.joins,
        note=" ".join(whole.problem.note.split()),
        state=whole.seen.state,
        lost=whole.seen.lost,
        begins=tuple(begins_with(whole.seen.state, whole.problem.unit, whole.seen.lost)),
    )


class _Rows:
    """Makes the steps of a programme, a list run once, from its whole units."""

    def __init__(self, whole: WholeProgramme, numbers: Mapping[str, int]) -> None:
        self.whole, self.numbers = whole, numbers
        self.course = whole.seen.course
        table = self.course.table
        self.figures = Figures(
            whole.problem, whole.unit, table.clock, table.times, table.routes, table.steps
        )
        self.recipes = [recipe.name for recipe in whole.problem.recipes]
        self.limits = once_limits(whole.strict)
        self.lifted = {stay.left_by: stay for stay in whole.seen.stays}
        self.brought = {stay.arrived_by: stay for stay in whole.seen.stays}
        self.per = whole.per / whole.strict.course.table.clock.per_unit
        self.end = max(whole.joins, -((-whole.seen.finish * whole.per) // 1))
        self.steady = None if whole.cycle is None else timed_plan(whole.cycle)

    def row(self, number: int) -> SequencerStep:
        run, parts = self.whole.seen.runs[number], self.course.runs[number].parts
        start = int(run.start * self.whole.per)
        stay, after = self.lifted.get(number + 1), self.brought.get(number + 1)
        least, most = self.figures.window(run.recipe, run.stage, run.source)
        later, alone, set_down = self._limits(number)
        feeds, lifted_in = self._feeds(after)
        return SequencerStep(
            step=number + 1,
            pick=self.numbers[run.source],
            place=self.numbers[run.target],
            recipe=self.recipes.index(run.recipe) + 1,
            load=run.load,
            stage=run.stage,
            fed_by=None if stay is None else stay.arrived_by or number + 1,
            boundaries=int(stay is not None and stay.arrived_by is None),
            feeds=feeds,
            wait_source_dwell=least > 0 and stay is not None,
            wait_target_empty=self._free_when_lifted(run),
            start=start,
            latest=max(start, self.end) if later is None else start + later,
            alarm=None if alone is None else start + alone,
            clock_limit=max(start, self.end) if alone is None else start + alone - alone // 4,
            lasting_limit=None if set_down is None else start + set_down,
            least=least,
            most=most,
            drip=self.figures.drip(parts.drip),
            move=self.figures.move(parts.total, parts.drip),
            busy=self.figures.busy(parts.total, run.target),
            approach=self.figures.approach(run.source),
            lifted_in=lifted_in,
            rest=self.figures.rest(run.target, parts.total),
        )

    def _feeds(self, stay: LoadStay | None) -> tuple[int | None, int]:
        if stay is None or stay.left_by is None:
            return None, 0
        place = self.whole.places[stay.left_by - 1]
        if place is None:
            return stay.left_by, 0
        return place.step + 1 + self.whole.once, place.cycle

    def _limits(self, number: int) -> tuple[int | None, int | None, int | None]:
        """Latenesses in units: for good; once; once, of loads set down later."""
        limit: OnceLimit = self.limits[number]
        beyond = self._beyond(limit)
        alone = [self._units(limit.alone)] if limit.alone is not None else []
        later = [self._units(limit.set_down)] if limit.set_down is not None else []
        return (
            None if limit.later is None else self._units(limit.later),
            min([*alone, *beyond], default=None),
            min([*later, *beyond], default=None),
        )

    def _beyond(self, limit: OnceLimit) -> list[int]:
        """The lateness up to which no load exceeds a maximum after the cycles replayed."""
        if self.steady is None:
            return []
        scale = Fraction(self.steady.per_unit, self.whole.strict.course.table.clock.per_unit)
        cycles: dict[int, list[int | None]] = {}
        for place in self.whole.places:
            if place is not None:
                cycles.setdefault(place.cycle, [None] * len(self.steady))
        for move, buffer in limit.reached:
            if (place := self.whole.places[move]) is not None:
                cycles[place.cycle][place.step] = (buffer * scale) // 1
        above = exceeded_above(self.steady, [cycles[number] for number in sorted(cycles)])
        if above is None:
            return []
        return [((above + self.steady.tolerance) * self.whole.per / self.steady.per_unit) // 1]

    def _units(self, time: int) -> int:
        tolerance = self.whole.strict.course.table.clock.tolerance
        return ((time + tolerance) * self.per) // 1

    def _free_when_lifted(self, run: ProgrammeRun) -> bool:
        """Whether places at the target are counted, and one is free by plan at the lifting."""
        seen = self.whole.strict
        station = seen.problem.station_by_name[run.target]
        if station.capacity == "unlimited":
            return False
        if (not station.loads and not station.unloads) or seen.problem.carriers.return_ == "hoist":
            return True  # the hoist itself clears it, so before
        least = Fraction(station.min_occupation)
        lifts = [other.start for other in seen.runs if other.source == run.target]
        standing = [
            other.end
            for other in seen.runs
            if other.target == run.target
            and other.end <= run.start < other.end + least
            and not any(other.end <= lift <= run.start for lift in lifts)
        ]
        return len(standing) < station.capacity
