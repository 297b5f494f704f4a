"""The hoist's times from a log or a stopwatch list, and what they change."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from ...base.effort import Effort
from ...base.errors import InputError, naming_file
from ...checker import verify
from ...plant.events import EventLog, read_log
from ...plant.fit.changes import changes_of
from ...plant.fit.fit import fit as fit_times
from ...plant.logged_times import logged_times
from ...plant.mapping import LogMapping, read_mapping
from ...plant.planned_waits import at_once
from ...plant.readings import Readings
from ...plant.stopwatch import read_stopwatch, starts_as_list
from ...problem import Problem
from ...problem.files.rewriting import changed_problem
from ...show.fit.answer import FitAnswer
from ...show.fit.data import Cycles
from ..given import Line, Moves, naming, problem_of, replayed
from ..solve import Degrees, solve

Words = Callable[[Problem], LogMapping]
"""What the words of a log mean on a line."""


def fit(
    line: Line,
    sources: Sequence[str | Path],
    words: Words | None = None,
    *,
    hoist: str | None = None,
    plan: Moves | None = None,
    cycle: bool = False,
    degrees: Degrees = "best",
    effort: Effort | None = None,
) -> FitAnswer:
    """Fit the hoist's times to what was measured, and say how far the file is off.

    Parameters
    ----------
    line : Problem, str or Path
    sources : sequence of str or Path
        A stopwatch list, or the files of an event log.
    words : callable, optional
        What the words of a log mean; by default the problem's own.
    hoist : str, optional
        Name of the hoist that was timed; needed where the line has several.
    plan : Schedule, str or Path, optional
        The cycle that the machine followed while the log was written: its waits are then no
        times of the hoist.
    cycle : bool
        Solve the line as it is and as it would be changed, to show what that does to the
        cycle time.
    degrees : sequence of int or "best"
        Sets of loads per cycle to solve for.
    effort : Effort, optional
        Of both searches together.

    Raises
    ------
    InputError
        When a file, a limit or a word cannot be used.
    Refused
        When the plan breaks a rule of the line as its file has it.
    """
    problem = problem_of(line, several=True)
    number = _number(problem, hoist)
    followed = None if plan is None else at_once(replayed(line, plan, several=True), number)
    readings = read_times(problem, sources, words, number)
    if followed is not None:
        if readings.origin == "list":
            raise InputError(
                "a log, where a plan is named: a stopwatch list has no waits in it",
                field="plan",
                way_out="Leave --plan out.",
            )
        readings = replace(readings, at_once=followed)
    with naming_file(str(sources[0])):
        found = fit_times(readings)
        changed = changed_problem(problem, changes_of(found))
    path = None if isinstance(line, Problem) else line
    if not cycle:
        return FitAnswer(found, changed, path)
    with naming(line):
        cycles = _cycles(problem, changed, degrees, effort or Effort())
    return FitAnswer(found, changed, path, cycles)


def _number(problem: Problem, name: str | None) -> int:
    names = [hoist.name for hoist in problem.hoists]
    if name is None and len(names) == 1:
        return 0
    if name not in names or name is None:
        known = ", ".join(str(each) for each in names if each)
        alone = "Its one hoist has no name; leave it out."
        raise InputError(
            "the hoist that was timed, by its name",
            field="hoist",
            value=name,
            way_out=f"The line has {known}." if known else alone,
        )
    return names.index(name)


def read_times(
    problem: Problem,
    sources: Sequence[str | Path],
    words: Words | None = None,
    hoist: int = 0,
) -> Readings:
    """What was measured of a hoist, from a stopwatch list or a log.

    Raises
    ------
    InputError
        When a file or a word cannot be used.
    """
    mapping = read_mapping(problem) if words is None else words(problem)
    if len(sources) == 1 and starts_as_list(sources[0]):
        return read_stopwatch(sources[0], problem, hoist, mapping.stations)
    try:
        log = read_log(sources, mapping)
    except InputError as error:
        if error.field != "header":
            raise
        raise InputError(
            f"{error.expected}, as it is no stopwatch list, which has from, to, loaded and time",
            field=error.field,
            value=error.value,
            way_out=error.way_out,
            file=error.file,
        ) from None
    with naming_file(str(sources[0])):
        readings = logged_times(log, problem, hoist)
    return replace(readings, notes=(*said_of(log), *readings.notes))


def said_of(log: EventLog) -> list[str]:
    """What was found out about the files of a log, and what could not be read, in sentences."""
    notes = list(log.notes)
    unread = len(log.faults) + log.unlisted
    if unread:
        first = log.faults[0]
        notes.append(
            f"Rows that could not be read: {unread}; the first is {first.file}, row {first.line}, "
            f"{first.field} = {first.value}: expected {first.why}."
        )
    return notes


def _cycles(problem: Problem, changed: Problem, degrees: Degrees, effort: Effort) -> Cycles:
    limit = None if effort.time_limit is None else effort.time_limit / 2
    half = replace(effort, time_limit=limit)
    before = solve(problem, degrees, half, least_only=True).best
    if effort.stop is not None and effort.stop.is_set():
        return Cycles(before, None)
    broken = 0
    if before is not None and before.schedule is not None:
        degrees = (before.degree,)
        broken = len(verify(changed, before.schedule))
    return Cycles(before, solve(changed, degrees, half, least_only=True).best, broken)
