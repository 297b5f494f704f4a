"""Several degrees of one line, solved one by one and compared by mean time per load."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction

from ..base.effort import Effort, Progress, effort_of
from ..problem import Problem
from .result import Result, exact_time_per_load


def compare_degrees(
    problem: Problem,
    degrees: Iterable[int],
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    *,
    effort: Effort | None = None,
) -> list[Result]:
    """Solve each degree; see :func:`best_degree` for the best of them.

    Parameters
    ----------
    problem : Problem
        The line and its recipes.
    degrees : iterable of int
        Sets of loads per cycle, each to be solved.
    time_limit, workers, seed, on_progress, effort
        As of :func:`.cycle.solve`; the time limit holds for each degree.

    Returns
    -------
    list of Result
        In the order of `degrees`.

    Raises
    ------
    InputError
        When a degree or a limit makes no sense, or the problem cannot be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> [result.time_per_load for result in hoistopt.compare_degrees(problem, [1, 2])]
    [234.0, 234.0]
    """
    from .cycle import solve  # loads the solver, which showing results does without

    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    return [solve(problem, degree, effort=effort) for degree in degrees]


def best_degree(results: Iterable[Result]) -> Result | None:
    """The result with the least mean time per load; the lowest degree among equals.

    Parameters
    ----------
    results : iterable of Result
        Of one problem, such as :func:`compare_degrees` gives.

    Returns
    -------
    Result or None
        None where no result has a schedule.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> results = hoistopt.compare_degrees(problem, [1, 2])
    >>> hoistopt.best_degree(results).degree
    1
    """
    timed = [result for result in results if result.schedule is not None]
    return min(
        timed,
        key=lambda r: (exact_time_per_load(r), r.degree),
        default=None,
    )


def gains_over_last(results: Iterable[Result]) -> list[Fraction | None]:
    """For each result, the share by which its mean time per load is below the last one's.

    The last one is the nearest before it that has a schedule; None where either has none.
    Negative where the mean time per load is longer.

    Parameters
    ----------
    results : iterable of Result
        Of one problem, in order of degree.

    Returns
    -------
    list of Fraction or None
        One for each result: 0.1 where the mean time per load fell by a tenth.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> results = hoistopt.compare_degrees(problem, [1, 2])
    >>> hoistopt.gains_over_last(results)
    [None, Fraction(0, 1)]
    """
    return gains(None if r.schedule is None else exact_time_per_load(r) for r in results)


def gains(means: Iterable[Fraction | None]) -> list[Fraction | None]:
    """For each mean time per load, the share by which it is below the last one there is."""
    found: list[Fraction | None] = []
    last: Fraction | None = None
    for mean in means:
        found.append(None if mean is None or last is None else 1 - mean / last)
        last = last if mean is None else mean
    return found
