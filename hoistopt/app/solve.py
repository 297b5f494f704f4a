"""Find the least cycle time of a line, at one degree or at several."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from ..base.effort import Effort, Progress
from ..checker import accepted
from ..planning import cycle as planning
from ..planning.degrees import best_degree
from ..planning.forgiving import with_runnable
from ..planning.result import Result
from ..problem import Problem
from ..show.schedule.answer import SolvedAnswer
from ..show.schedule.runnable import Shown, usual
from .given import Line, naming, problem_of

Degrees = Sequence[int] | Literal["best"]
"""Sets of loads per cycle, each to be solved; or "best": whichever gives the most output."""


def solve(
    line: Line,
    degrees: Degrees = (1,),
    effort: Effort | None = None,
    show: Shown | None = None,
    least_only: bool = False,
) -> SolvedAnswer:
    """Solve one degree after the other, up to the first that was stopped; or choose the best.

    Of the best degree the shortest schedule that can be run is looked for too.

    Parameters
    ----------
    line : Problem, str or Path
    degrees : sequence of int or "best"
        Sets of loads per cycle.
    effort : Effort, optional
        Its time limit is for each degree, or for the choice of the best as a whole. Its
        listener hears in `doing` which degree.
    show : {"least", "runnable"}, optional
        Whose steps, files and drawings the answer has. By default those of the schedule that
        can be run where the line states a margin or a scatter, else those of the least cycle.
    least_only : bool
        Look for no schedule that can be run.

    Raises
    ------
    InputError
        When the file, a degree or a limit cannot be used.
    Refused
        When the checker refuses the schedule: a fault in hoistopt itself.
    """
    problem, effort = problem_of(line, several=True), effort or Effort()
    with naming(line):
        if degrees == "best":
            chosen = planning.solve(problem, "best", effort=effort)
            best = None if chosen.schedule is None else chosen
            choice = chosen.choice
            results = [chosen] if choice is None else list(choice.results)
        else:
            results, choice = _searched(problem, degrees, effort), None
            best = best_degree(results)
        seen = None
        if best is not None and best.schedule is not None:
            if not least_only:
                best = with_runnable(best, effort, results)
                choice = best.choice
                if choice is None:
                    results = [best if r.degree == best.degree else r for r in results]
                else:
                    results = list(choice.results)
            assert best.schedule is not None
            seen = accepted(problem, best.schedule, best.replay, made_here=True)
    return SolvedAnswer(problem, tuple(results), best, seen, show or usual(problem), choice)


def _searched(problem: Problem, degrees: Sequence[int], effort: Effort) -> list[Result]:
    results: list[Result] = []
    for number, degree in enumerate(degrees):

        def hear(news: Progress, number: int = number, degree: int = degree) -> None:
            doing = f"degree {degree}"
            effort.tell(replace(news, doing=doing, done=number, total=len(degrees)))

        hear(Progress())
        result = planning.solve(problem, degree, effort=replace(effort, on_progress=hear))
        results.append(result)
        if effort.stop is not None and effort.stop.is_set():
            break
    return results
