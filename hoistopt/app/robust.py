"""A schedule that serves several aims in order, and what slack costs in cycle time."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path
from typing import Literal

from ..analysis.robust.search import USUAL
from ..analysis.robust.search import robust as find_robust
from ..analysis.robust.start import degree_meant
from ..analysis.robust.tradeoff import Measure
from ..analysis.robust.tradeoff import tradeoff as find_tradeoff
from ..analysis.robust.window import window_curve
from ..base.effort import Effort
from ..problem import Problem
from ..schedule import Schedule
from ..schedule.stated import read_stated
from ..show.robust import GivenCycle, RobustAnswer
from ..show.tradeoff.answer import TradeoffAnswer
from ..show.tradeoff.window import WindowAnswer
from .given import Line, Moves, naming, problem_of, replayed


def robust(
    line: Line,
    degree: int | None = None,
    within: Decimal | int | float = 5,
    aims: Sequence[str] = USUAL,
    effort: Effort | None = None,
    start: Moves | None = None,
) -> RobustAnswer:
    """Find the schedule that serves the aims best, the most important first.

    Parameters
    ----------
    line : Problem, str or Path
    degree : int, optional
        Sets of loads per cycle. Left out: those of `start`; without one 1, and it is said where
        another may be quicker.
    within : number
        How many percent longer than the shortest the cycle may be.
    aims : sequence of str
        As for :func:`hoistopt.robust`.
    effort : Effort, optional
        Its time limit is for the shortest cycle and for each aim.
    start : Schedule, str or Path, optional
        The shortest cycle, where it is known.

    Raises
    ------
    InputError
        When the file, an aim or a number cannot be used; its field is "aims" for an aim,
        "degree" for a degree that is not that of `start`.
    """
    problem = problem_of(line, several=True)
    usual = degree is None and start is None
    with naming(line):
        known = None if start is None else replayed(problem, start, several=True).schedule
        degree = degree_meant(problem, degree, known, start)
        given = _given(problem, degree, start, known)
        found = find_robust(problem, degree, within, aims, known, effort=effort)
    return RobustAnswer(problem, found, usual, given)


def tradeoff(
    line: Line,
    degree: int | None = None,
    upto: Decimal | int | float = 10,
    points: int = 8,
    measure: Measure | Literal["window"] = "window",
    effort: Effort | None = None,
    start: Moves | None = None,
) -> TradeoffAnswer | WindowAnswer:
    """Find what it costs in cycle time to lose fewer loads, or to have more margin.

    Parameters
    ----------
    line : Problem, str or Path
    degree : int, optional
        Sets of loads per cycle. Left out: those of `start`; without one 1, and it is said where
        another may be quicker.
    upto : number
        How many percent above the shortest cycle to go.
    points : int
        Most points.
    measure : {"window", "slack", "float"}
        Share of loads out of window while times scatter; margin for a start that is late
        once, or in every cycle.
    effort : Effort, optional
        Its time limit is for each search.
    start : Schedule, str or Path, optional
        The shortest cycle, where it is known.

    Raises
    ------
    InputError
        When the file or a number cannot be used; its field is "degree" for a degree that is not
        that of `start`.
    """
    problem = problem_of(line, several=True)
    usual = degree is None and start is None
    with naming(line):
        known = None if start is None else replayed(problem, start, several=True).schedule
        degree = degree_meant(problem, degree, known, start)
        given = _given(problem, degree, start, known)
        chosen = given is not None and given.chosen
        if measure == "window":
            curve = window_curve(problem, degree, upto, points, known, effort=effort)
            return WindowAnswer(curve, usual, chosen)
        found = find_tradeoff(problem, degree, upto, points, measure, known, effort=effort)
    return TradeoffAnswer(found, usual, chosen)


def _given(
    problem: Problem, degree: int, start: Moves | None, known: Schedule | None
) -> GivenCycle | None:
    """What is known of the cycle handed in, as far as its file states it; None without one."""
    if start is None or known is None:
        return None
    if isinstance(start, Schedule):
        return GivenCycle()
    stated = read_stated(Path(start), problem, known, degree * len(problem.load_set))
    if stated is None:
        return GivenCycle()
    choice = None if stated.compared is None else stated.compared.choice
    return GivenCycle(Path(start).name, stated.status == "optimal", choice is not None)
