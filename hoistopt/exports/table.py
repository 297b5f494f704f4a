"""The sequencer table: what a controls programmer needs of a schedule, in whole numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from ..checker import Replay, accepted
from ..problem import Problem
from ..problem.numbering import numbered
from ..schedule import LineState, Schedule
from .figures import Figures
from .lateness import limits_of
from .rounding import InWhole, in_whole_units
from .strict import strict_problem
from .units import TimeUnit, time_unit


@dataclass(frozen=True)
class SequencerStep:
    """One step; times in whole units of the table, stations and recipes by number.

    Attributes
    ----------
    step : int
        Number, from 1, in order of planned start; steps of a list run once come first.
    pick, place : int
        Numbers of the stations the carrier is lifted from and lowered into.
    recipe, load, stage : int
        Recipe by number from 1; load of the cycle from 1; stage left, 0 the load station.
    fed_by : int or None
        The step that set down what this one lifts; None where it lifts a new load. A step
        of a list run once that lifts what stands in the line already is fed by itself.
    boundaries : int
        Cycles since then: in cycle c the step is due if step `fed_by` was executed in
        cycle ``c - boundaries``. In a list run once 0, or 1 of a step fed by itself.
    feeds : int or None
        The step that lifts what this one sets down; None where the load leaves the line.
    wait_source_dwell : bool
        Whether to wait until the carrier has stood `least` at the pick station.
    wait_target_empty : bool
        Whether to wait, before lifting, until the place station has a free place. Not where
        there always is one, nor at an unload station that by plan is cleared from outside
        only while the carrier is on its way.
    start, latest : int
        Planned and latest start of lifting, from the start of the cycle, or of the list. Up
        to the latest one, a step may be late every time without any other start being late.
    alarm : int or None
        Start up to which a step may be late once without any load exceeding its maximum
        dwell, then or later, as long as the steps after it keep their order, wait for the
        least dwell and start when due. None: however late it is, none does.
    clock_limit : int
        Start after which the cycle clock is put back, as far as no load standing in a tank
        exceeds its maximum by that. Up to it no load does anyway, and everything a cycle
        later is on time.
    lasting_limit : int or None
        Start after which the clock is put back by the rest in any case: else a load that is
        not yet in its tank would exceed its maximum, and others after it. None: none would.
    least, most : int, int or None
        Dwell at the pick station: minimum, and maximum where there is one.
    drip : int
        Pause above the pick station after lifting.
    move : int
        Time from lifting until the carrier is down, drip and all. Rounded up.
    busy : int
        Time the hoist needs at the least from lifting until it can be at any other pick
        station, or at this one again: the move and the shortest empty travel. Rounded down.
    approach : int
        Longest empty travel to the pick station. Rounded up.
    lifted_in : int
        Of a step of the list run once whose load a step of the cycle lifts: in which cycle,
        counted from 0; else 0.
    rest : int
        Time since the last lifting at the place station before which the step must not start,
        for the place to have rested when the carrier is set down; 0 where none is asked for.
    """

    step: int
    pick: int
    place: int
    recipe: int
    load: int
    stage: int
    fed_by: int | None
    boundaries: int
    feeds: int | None
    wait_source_dwell: bool
    wait_target_empty: bool
    start: int
    latest: int
    alarm: int | None
    clock_limit: int
    lasting_limit: int | None
    least: int
    most: int | None
    drip: int
    move: int
    busy: int
    approach: int
    lifted_in: int = 0
    rest: int = 0


@dataclass(frozen=True)
class SequencerTable:
    """All steps of one cycle, of a list run once or of both, and what their numbers mean.

    Attributes
    ----------
    line : str
        Name of the line.
    unit : TimeUnit
        Of every time.
    cycle : int
        Cycle time; 0 where no cycle follows a list.
    steps : tuple of SequencerStep
        Of the cycle.
    stations : tuple of (int, str)
        Number and name of every station, in order of number.
    recipes : tuple of str
        Names of the recipes, numbered from 1.
    once : tuple of SequencerStep
        Of a list that is run once, before the cycle; see :func:`.once.programme_table`.
    joins : int
        Where a cycle follows a list: when it begins, counted from the beginning of the list.
    note : str
        What the problem file notes of its line, on one line. For people; not compared, as
        nothing reads it back.
    state : LineState or None
        What stands in the line when the list begins. Not compared either.
    lost : tuple of int
        Loads of the state that are given up: they stand too long.
    begins : tuple of str
        The same in sentences.
    """

    line: str
    unit: TimeUnit
    cycle: int
    steps: tuple[SequencerStep, ...]
    stations: tuple[tuple[int, str], ...]
    recipes: tuple[str, ...]
    once: tuple[SequencerStep, ...] = ()
    joins: int = 0
    note: str = field(default="", compare=False)
    state: LineState | None = field(default=None, compare=False)
    lost: tuple[int, ...] = field(default=(), compare=False)
    begins: tuple[str, ...] = field(default=(), compare=False)

    @property
    def rows(self) -> tuple[SequencerStep, ...]:
        """The steps of the list, then those of the cycle."""
        return (*self.once, *self.steps)

    @property
    def slots(self) -> int:
        """Cycles a controller has to remember: the most boundaries, and the running one."""
        return max(step.boundaries for step in self.rows) + 1


def sequencer_table(
    problem: Problem,
    schedule: Schedule,
    unit: str | TimeUnit = "ms",
    stations: Literal["own", "list", "track"] | Mapping[str, int] = "list",
    first_station: int = 0,
    seen: Replay | None = None,
) -> SequencerTable:
    """The sequencer table of a schedule.

    Parameters
    ----------
    problem, schedule : Problem, Schedule
        The line and a schedule the checker accepts.
    unit : str
        Time unit: ``"ms"``, ``"ds"`` (0.1 s), ``"s"`` or ``"min"``. Starts that are no
        whole number of it are moved, keeping the pattern of moves; the checker then looks
        at the moved ones, with windows and drips in whole units too.
    stations : str or mapping
        Numbers of the stations: ``"list"`` as the problem lists them, ``"track"`` along
        the track, or the number of each by name.
    first_station : int
        Number of the first one, for the two orders.
    seen : Replay, optional
        A replay of the schedule on the line, if there is one already.

    Raises
    ------
    Refused
        When the checker refuses the schedule.
    InputError
        When the unit is unknown or too coarse, or the numbers of the stations are wrong.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> table = hoistopt.sequencer_table(problem, result.schedule, unit="ms")
    >>> table.cycle, len(table.steps)
    (234000, 5)
    """
    unit = time_unit(unit)
    numbers = numbered(problem, stations, first_station)
    given = accepted(problem, schedule, seen)
    found = in_whole_units(given, strict_problem(problem, unit), unit)
    rows, whole = _Rows(found, unit, numbers), found.schedule
    return SequencerTable(
        line=problem.name,
        unit=unit,
        cycle=whole.cycle,
        steps=tuple(rows.row(number) for number in range(len(whole))),
        stations=tuple((number, name) for name, number in numbers.items()),
        recipes=tuple(recipe.name for recipe in problem.recipes),
        note=" ".join(problem.note.split()),
    )


class _Rows:
    """The steps of a schedule in whole units, one tick being one unit."""

    def __init__(self, found: InWhole, unit: TimeUnit, numbers: Mapping[str, int]) -> None:
        self.problem, self.schedule, self.plan = (
            found.plain.problem,
            found.schedule,
            found.plain.plan,
        )
        self.strict, self.seen = found.strict.problem, found.strict
        self.numbers = numbers
        table = self.plan.table
        self.figures = Figures(
            self.problem, unit, table.clock, table.times, table.routes, self.schedule
        )
        self.limits = limits_of(found.strict)
        self.recipes = [recipe.name for recipe in self.problem.recipes]

    def row(self, number: int) -> SequencerStep:
        plan, step = self.plan, self.schedule.steps[number]
        leg, parts, link = plan.legs[number], plan.parts[number], plan.links.get(number)
        assert leg is not None and parts is not None
        loading = plan.begins(number)
        least, most = self.figures.window(leg.recipe, leg.leaves, step.source)
        limits = self.limits[number]
        after = plan.lifted_by.get(number)
        return SequencerStep(
            step=number + 1,
            pick=self.numbers[step.source],
            place=self.numbers[step.target],
            recipe=self.recipes.index(leg.recipe) + 1,
            load=plan.loads[number],
            stage=leg.leaves,
            fed_by=None if loading or link is None else link.before + 1,
            boundaries=0 if loading or link is None else link.boundaries,
            feeds=None if after is None or plan.begins(after) else after + 1,
            wait_source_dwell=least > 0 and not loading,
            wait_target_empty=self._free_when_lifted(number),
            start=step.start,
            latest=limits.latest,
            alarm=limits.alarm,
            clock_limit=limits.clock,
            lasting_limit=limits.lasting,
            least=least,
            most=most,
            drip=self.figures.drip(parts.drip),
            move=self.figures.move(parts.total, parts.drip),
            busy=self.figures.busy(parts.total, step.target),
            approach=self.figures.approach(step.source),
            rest=self.figures.rest(step.target, parts.total),
        )

    def _free_when_lifted(self, number: int) -> bool:
        """Whether places at the target are counted, and one is free by plan at the lifting."""
        target = self.schedule.steps[number].target
        station = self.strict.station_by_name[target]
        if station.capacity == "unlimited":
            return False
        if station.kind != "unload" or self.strict.carriers.return_ == "hoist":
            return True  # the hoist itself clears it, so before
        arriving = [run for run in self.seen.runs if run.target == target]
        return not any(
            run.step == number + 1 and before.end + Fraction(station.min_occupation) > run.start
            for before, run in zip(arriving, arriving[station.capacity :], strict=False)
        )
