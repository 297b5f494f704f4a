"""A schedule as a report for people to read, print and sign."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ..base.effort import Effort
from ..show.report import report_html
from ..show.schedule.answer import SolvedAnswer, VerifiedAnswer
from .given import Line, Moves
from .solve import solve
from .verify import verify


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
    degrees: Sequence[int] = (1,),
    effort: Effort | None = None,
    written: date | None = None,
) -> Reported:
    """Report on a table of moves, or on the best schedule found for the line.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path, optional
        Left out, the line is solved.
    degrees : sequence of int
        Sets of loads per cycle, where it is solved.
    effort : Effort, optional
        Of the search for each degree, where it is solved.
    written : date, optional
        The day to print on the report.

    Raises
    ------
    InputError
        When a file, a degree or a limit cannot be used.
    Refused
        When the moves break a rule.
    """
    if moves is not None:
        given = verify(line, moves)
        page = report_html(given.problem, given.schedule, given.replay, None, written)
        return Reported(given, page)
    solved = solve(line, degrees, effort)
    best, seen = solved.best, solved.replay
    if best is None or best.schedule is None or seen is None:
        return Reported(solved, None)
    return Reported(solved, report_html(solved.problem, best.schedule, seen, best, written))
