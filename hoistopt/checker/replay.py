"""From a problem and a schedule to the record of a replay and its verdict."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from ..base.errors import InputError
from ..base.expected import of_kind
from ..problem import Problem
from ..schedule import Schedule
from . import moves, rules
from .events import Record, Run, Stay
from .findings import Findings
from .grid.table import Table
from .hoists.ways import empty_and_idle
from .named import named_plan
from .plan import Plan
from .reading.loads import read_plan
from .record import CarrierStay, HoistRun, Replay, Violation
from .simulate import simulate


def replay(problem: Problem, schedule: Schedule, cycles: int | None = None) -> Replay:
    """Replay a schedule from an empty line: fill, steady state, run-out.

    Parameters
    ----------
    problem : Problem
        The line and its recipes.
    schedule : Schedule
        Moves to repeat, in ticks; of each step only start, source and target are
        needed, further columns are believed as far as they agree with what happens.
    cycles : int, optional
        Cycles in which loads enter; by default until the line repeats itself from one
        cycle to the next, and two cycles more.

    Returns
    -------
    Replay
        The hoist's runs, the carriers' stays and every broken rule, each fault once,
        at the first cycle in which it shows.

    Raises
    ------
    InputError
        When the schedule's data make no sense: a station that does not exist, a start
        beyond the cycle, a table far larger than any line.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> hoistopt.replay(problem, result.schedule)
    <Replay: clean in 8 cycles of 234>
    """
    if cycles is not None and (isinstance(cycles, bool) or not isinstance(cycles, int)):
        raise InputError("a whole number of cycles", field="cycles", value=cycles)
    if cycles is not None and cycles < 1:
        raise InputError("at least one cycle", field="cycles", value=cycles)
    return _written(*_judged(problem, schedule, cycles))


def _judged(
    problem: Problem, schedule: Schedule, cycles: int | None = None
) -> tuple[Plan, Record, tuple[Violation, ...]]:
    """What the steps do, what happened, and the rules that breaks."""
    plan = plan_of(problem, schedule)
    record = simulate(plan, cycles)
    findings = Findings(plan)
    for of_moves in moves.ALL:
        of_moves(findings)
    for of_record in rules.ALL:
        of_record(findings, record)
    return plan, record, findings.in_order()


def plan_of(problem: Problem, schedule: Schedule) -> Plan:
    """What every step of a schedule is taken to do; whether it may is not judged.

    A table that names its loads and stages is taken at its word as far as that can be;
    of any other the reading that makes most sense is taken.

    Raises
    ------
    InputError
        When the schedule's data make no sense on this line.
    """
    of_kind(problem, Problem, field="problem", way_out="load_problem reads one from a file.")
    of_kind(schedule, Schedule, field="schedule", way_out="That of a Result is its `schedule`.")
    table = Table(problem, schedule)
    named = named_plan(table)
    if named is None and len(problem.hoists) > 1:
        raise InputError(
            "a table that names load, stage and hoist of every move, each load going its whole "
            "way, as the line has several hoists",
            field="moves",
            way_out="Write the table with `hoistopt solve --csv`, or fill in its columns.",
        )
    return named or read_plan(table)


def verify(problem: Problem, schedule: Schedule) -> tuple[Violation, ...]:
    """Every rule a schedule breaks, with figures, in order of time; empty when clean.

    Parameters
    ----------
    problem : Problem
        The line and its recipes.
    schedule : Schedule
        See :func:`replay`.

    Raises
    ------
    InputError
        When the schedule's data make no sense on this line.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> hoistopt.verify(problem, result.schedule)
    ()
    """
    return _judged(problem, schedule)[2]  # the record is written out for nobody


def _written(plan: Plan, record: Record, violations: tuple[Violation, ...]) -> Replay:
    problem = plan.table.problem
    several = range(len(problem.hoists)) if len(problem.hoists) > 1 else ()
    between = {
        number: times
        for hoist in several
        for number, times in empty_and_idle(plan.table, plan.parts, hoist).items()
    }
    return Replay(
        cycle_time=plan.table.clock.fraction(plan.table.cycle),
        violations=violations,
        plan=plan,
        runs=tuple(_written_run(plan, record, run, between) for run in record.runs),
        stays=tuple(_written_stay(plan, record, stay) for stay in record.stays),
        cycles=record.cycles,
        steady_from=record.steady_from,
        steady_cycles=record.steady_cycles,
        carriers_needed=plan.carriers,
        skipped=tuple(record.skipped),
    )


def _written_run(
    plan: Plan, record: Record, run: Run, between: Mapping[int, tuple[int, int]]
) -> HoistRun:
    fraction = plan.table.clock.fraction

    def maybe(time: int | None) -> Fraction | None:
        return None if time is None else fraction(time)

    empty = run.empty or 0
    waited = 0 if run.free is None else run.start - run.free - empty
    several = len(plan.table.problem.hoists) > 1
    if run.free is not None and run.number in between:
        # Each of several goes its way in every cycle, and may go farther than straight.
        empty, waited = between[run.number]
    return HoistRun(
        step=run.number + 1,
        cycle=run.cycle + 1,
        carrier=run.carrier,
        recipe=run.leg.recipe,
        load=run.load,
        stage=run.leg.leaves,
        source=run.source,
        target=run.target,
        start=fraction(run.start),
        end=fraction(run.end),
        lift=maybe(run.parts.lift),
        drip=fraction(run.parts.drip),
        travel=maybe(run.parts.travel),
        lower=maybe(run.parts.lower),
        came_from=run.came_from,
        empty=fraction(empty),
        waited=fraction(waited),
        phase=record.phase(run.cycle),
        hoist=plan.table.problem.hoists[run.hoist].name if several else None,
    )


def _written_stay(plan: Plan, record: Record, stay: Stay) -> CarrierStay:
    table = plan.table
    fraction, window = table.clock.fraction, stay.window
    ends_in = stay.cycle if stay.until is None else stay.until // table.cycle
    return CarrierStay(
        carrier=stay.carrier,
        recipe=stay.recipe,
        load=stay.load,
        stage=stay.stage,
        label=table.routes.label(stay.recipe, stay.stage, stay.station),
        station=stay.station,
        since=fraction(stay.since),
        until=None if stay.until is None else fraction(stay.until),
        least=fraction(window.least),
        most=None if window.most is None else fraction(window.most),
        arrived_by=None if stay.brought_by is None else stay.brought_by + 1,
        left_by=None if stay.lifted_by is None else stay.lifted_by + 1,
        phase=record.phase(ends_in),
        eased=fraction(window.eased),
    )
