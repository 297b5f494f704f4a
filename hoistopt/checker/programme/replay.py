"""From a problem, a state and a programme to the record of a replay and its verdict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from ...base.errors import InputError
from ...problem import Problem
from ...schedule import Between, LineState, Programme
from ...schedule.state_checks import check_state
from . import rules
from .course import Course, Run, Stay, Table
from .findings import Findings
from .follow import follow
from .record import LoadStay, Overstay, ProgrammeRefused, ProgrammeReplay, ProgrammeRun
from .repeating import goes_on


def replay_programme(
    problem: Problem,
    programme: Programme,
    state: LineState | None = None,
    lost: Iterable[int] = (),
) -> ProgrammeReplay:
    """Replay a programme from a state of the line.

    Parameters
    ----------
    problem : Problem
        The line and its recipes.
    programme : Programme
        Moves in absolute time; of each only start, source and target are needed, further
        columns are believed as far as they agree with what happens.
    state : LineState, optional
        What stands where when the programme begins; by default the line is empty and the
        hoist waits where the first move begins.
    lost : iterable of int, optional
        Loads of the state that are given up, by number: they may stand longer than their
        maxima, and every other rule holds for them as well.

    Returns
    -------
    ProgrammeReplay
        The hoist's runs, the loads' stays and every broken rule. Times in doubt keep the
        rules in their whole range or break them.

    Raises
    ------
    InputError
        When the data of state or programme make no sense on the line, or a load named as
        lost is not in the state.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> programme = hoistopt.unroll(hoistopt.solve(problem).schedule, cycles=3)
    >>> hoistopt.replay_programme(problem, programme).clean
    True
    """
    state = LineState() if state is None else state
    check_state(problem, state)
    course = follow(Table(problem, programme), state)
    named = tuple(sorted(set(lost)))
    _check_lost(state, named)
    findings = Findings(course, frozenset(named))
    for rule in rules.ALL:
        rule(findings)
    goes_on(findings, rules.ALL)
    last = course.table.routes.last
    fraction = course.table.clock.fraction
    return ProgrammeReplay(
        violations=findings.in_order(),
        runs=tuple(_written_run(course, run) for run in course.runs),
        stays=tuple(_written_stay(course, stay) for stay in course.stays),
        finish=fraction(course.end),
        out={
            run.load: fraction(run.end)
            for run in course.runs
            if run.leg.reaches == last(run.leg.recipe)
        },
        left=tuple(stay.load for stay in course.stays if stay.until is None),
        course=course,
        overstays=tuple(_overstays(findings)),
        lost=named,
    )


def accepted_programme(
    problem: Problem,
    programme: Programme,
    state: LineState | None = None,
    *,
    lost: Iterable[int] = (),
    made_here: bool = False,
) -> ProgrammeReplay:
    """The replay of a programme that breaks no rule.

    Parameters
    ----------
    problem : Problem
        The line.
    programme : Programme
        See :func:`replay_programme`.
    state : LineState, optional
        What stands where when it begins; by default the line is empty.
    lost : iterable of int, optional
        Loads of the state that are given up: see :func:`replay_programme`.
    made_here : bool
        Whether hoistopt made the programme, so that a refusal is a fault of its own.

    Raises
    ------
    ProgrammeRefused
        When the programme breaks a rule.
    InputError
        When the data make no sense on this line.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> programme = hoistopt.unroll(hoistopt.solve(problem).schedule, cycles=2)
    >>> sorted(hoistopt.accepted_programme(problem, programme).out)
    [1, 2]
    """
    seen = replay_programme(problem, programme, state, lost)
    if not seen.clean:
        raise ProgrammeRefused(seen, made_here=made_here)
    return seen


def _check_lost(state: LineState, lost: tuple[int, ...]) -> None:
    inside = state.numbered().loads
    for load in lost:
        if load not in inside:
            raise InputError(
                "the number of a load that the state has in the line",
                field="lost",
                value=load,
                way_out="A load that has not entered is not let in to be lost.",
            )


def _overstays(findings: Findings) -> Iterator[Overstay]:
    course, fraction = findings.course, findings.clock.fraction
    for stay in sorted(course.stays, key=lambda stay: (stay.until or course.end, stay.load)):
        beyond = rules.over(findings, stay)
        if not beyond:
            continue
        assert stay.window.most is not None
        until = course.told_until if stay.until is None else stay.until
        least = until - stay.late
        yield Overstay(
            load=stay.load,
            recipe=stay.recipe,
            stage=stay.stage,
            label=course.table.routes.label(stay.recipe, stay.stage, stay.station),
            station=stay.station,
            stood=Between(fraction(least), fraction(until - stay.early)),
            most=fraction(stay.window.most - stay.window.eased),
            by=fraction(beyond),
            certain=least > stay.window.most + findings.clock.tolerance,
        )


def _written_run(course: Course, run: Run) -> ProgrammeRun:
    fraction, hoists = course.table.clock.fraction, course.table.problem.hoists

    def maybe(time: int | None) -> Fraction | None:
        return None if time is None else fraction(time)

    return ProgrammeRun(
        step=run.number + 1,
        load=run.load,
        recipe=run.leg.recipe,
        stage=run.leg.leaves,
        source=run.source,
        target=run.target,
        start=fraction(run.start),
        end=fraction(run.end),
        lift=maybe(run.parts.lift),
        drip=fraction(run.parts.drip),
        travel=maybe(run.parts.travel),
        lower=maybe(run.parts.lower),
        hoist=hoists[run.hoist].name if len(hoists) > 1 else None,
    )


def _written_stay(course: Course, stay: Stay) -> LoadStay:
    fraction, runs = course.table.clock.fraction, course.runs
    window = stay.window
    return LoadStay(
        load=stay.load,
        recipe=stay.recipe,
        stage=stay.stage,
        label=course.table.routes.label(stay.recipe, stay.stage, stay.station),
        station=stay.station,
        since=Between(fraction(stay.early), fraction(stay.late)),
        until=None if stay.until is None else fraction(stay.until),
        least=fraction(window.least),
        most=None if window.most is None else fraction(window.most),
        arrived_by=None if stay.brought_by is None else runs[stay.brought_by].number + 1,
        left_by=None if stay.lifted_by is None else runs[stay.lifted_by].number + 1,
    )
