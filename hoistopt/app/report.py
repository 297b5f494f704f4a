"""A schedule as a report for people to read, print and sign."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from ..analysis.figures.steps import steady_runs
from ..base.effort import Effort
from ..base.errors import InputError
from ..checker.record import Replay
from ..margin.figures import MarginFigures, margin_figures
from ..planning.result import Result
from ..problem import Problem
from ..schedule import LineState, Programme, Schedule, readable
from ..schedule.stated import read_stated
from ..show.programme.answer import VerifiedProgramme
from ..show.report import programme_html
from ..show.report.case import Case
from ..show.report.page import case_html
from ..show.schedule.answer import SolvedAnswer, VerifiedAnswer
from ..show.schedule.degrees import ComparedDegrees, stated_degrees
from ..show.schedule.runnable import Shown
from .given import Line, Moves
from .solve import Degrees, solve
from .verify import verify, verify_programme


@dataclass(frozen=True)
class Reported:
    """A report, and what it is about.

    Attributes
    ----------
    about : SolvedAnswer or VerifiedAnswer
        The schedule that was found, or that was given.
    page : str or None
        The report as HTML; None where no schedule was found.
    """

    about: SolvedAnswer | VerifiedAnswer
    page: str | None


def report(
    line: Line,
    moves: Moves | None = None,
    degrees: Degrees = (1,),
    effort: Effort | None = None,
    written: date | None = None,
    show: Shown | None = None,
) -> Reported:
    """Report on a table of moves, or on the best schedule found for the line.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path, optional
        Left out, the line is solved. What a JSON file of them states of proof and bound is
        kept, as stated in that file; whether they can be run is simulated anew.
    degrees : sequence of int or "best"
        Sets of loads per cycle, where it is solved.
    effort : Effort, optional
        Of the search for each degree, where it is solved.
    written : date, optional
        The day to print on the report.
    show : {"least", "runnable"}, optional
        Whose steps, diagram and player it has, where it is solved; as of
        :func:`hoistopt.app.solve.solve`.

    Raises
    ------
    InputError
        When a file, a degree or a limit cannot be used, or what a file of moves states of
        them makes no sense, such as a bound above the cycle time.
    Refused
        When the moves break a rule.
    """
    if moves is not None:
        given = verify(line, moves)
        stated = None if isinstance(moves, Schedule) else _stated(str(moves), given)
        case = Case(given.problem, given.schedule, given.replay, written=written)
        if stated is not None:
            result, compared = stated
            given = replace(given, status=result.status)
            source = Path(str(moves)).name
            case = replace(case, result=result, source=source, degrees=compared)
        return Reported(given, case_html(case))
    solved = solve(line, degrees, effort, show)
    best, found = solved.best, solved.shown
    if best is None or found is None:
        return Reported(solved, None)
    case = Case(solved.problem, found.schedule, found, best, written, degrees=solved.compared)
    return Reported(solved, case_html(case))


@dataclass(frozen=True)
class ReportedProgramme:
    """A report of a programme.

    Attributes
    ----------
    about : VerifiedProgramme
    page : str
        The report as HTML.
    """

    about: VerifiedProgramme
    page: str


def report_programme(
    line: Line,
    programme: Programme | str | Path,
    state: LineState | str | Path | None = None,
    lost: Iterable[int] = (),
    written: date | None = None,
) -> ReportedProgramme:
    """Report on a programme.

    Parameters
    ----------
    line : Problem, str or Path
    programme : Programme, str or Path
    state : LineState, str or Path, optional
        What it begins with; by default an empty line.
    lost : iterable of int
        Loads of the state that may stand longer than their maxima.
    written : date, optional
        The day to print on the report.

    Raises
    ------
    InputError
        When a file cannot be used.
    ProgrammeRefused
        When the moves break a rule.
    """
    about = verify_programme(line, programme, state, lost)
    return ReportedProgramme(about, programme_html(about.replay, written=written))


def _stated(path: str, given: VerifiedAnswer) -> tuple[Result, ComparedDegrees | None] | None:
    """The answer of the search that made the moves, as far as their file states it.

    With it the degrees compared, where the file states those.
    """
    problem, schedule, seen = given.problem, given.schedule, given.replay
    loads = sum(run.stage == 0 for run in steady_runs(seen)) // seen.steady_cycles
    stated = read_stated(path, problem, schedule, loads)
    if stated is None:
        return None
    result = Result(
        status=stated.status,
        cycle_time=readable(schedule.time(schedule.cycle)),
        lower_bound=readable(stated.lower_bound),
        degree=stated.degree,
        loads_per_cycle=loads,
        schedule=schedule,
        runtime=stated.runtime or 0.0,
        replay=seen,
        problem=problem,
        margin=_forgiven(problem, seen),
    )
    if stated.compared is None:
        return result, None
    return result, stated_degrees(result, stated.compared, Path(path).name)


def _forgiven(problem: Problem, seen: Replay) -> MarginFigures | None:
    """What moves from a file forgive, so that a proof does not stand where nobody warns."""
    try:
        return margin_figures(problem, seen)
    except InputError:  # a scatter that does not fit the line: nothing is said then
        return None
