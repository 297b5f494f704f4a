"""A study: the least cycle times of a line as some of its figures vary."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from pathlib import Path
from typing import Any

from ...base.clock import Clock
from ...base.effort import Effort, Progress, effort_of
from ...base.errors import InputError
from ...problem import Problem
from .design import Design, as_it_is, from_rows, grid
from .effect import without_effect
from .journal import Journal
from .parameter import Parameter, parameters_of
from .points import Point, Study
from .running import run_tasks
from .settings import plain_data
from .task import Answer, answer_from, solve_task

MOST_JOBS = 256


def study(
    problem: Problem,
    parameters: Mapping[str, object] | Iterable[str | Parameter] = (),
    *,
    designs: Sequence[Mapping[str, object]] | None = None,
    degree: int = 1,
    effort: Effort | None = None,
    time_limit: float | None = None,
    seed: int = 0,
    executor: Executor | None = None,
    jobs: int | None = None,
    keep: str | Path | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    on_point: Callable[[Point, int, int], None] | None = None,
) -> Study:
    """Solve a line over and over while some of its figures vary.

    Parameters
    ----------
    problem : Problem
        The line.
    parameters : mapping or iterable
        Values by key of the problem file, ``{"hoist.empty.speed": [0.3, 0.4]}``, where a
        value may be a pair of it and its cost; or texts as typed after ``--vary``,
        ``"stage(Rinse).max = 60..120..20"``. Every combination is a point. Besides the
        keys of the file: ``degree``, ``mix`` (such as ``2:1``) and ``parallel(STATION)``,
        how many equal stations stand where the file has one.
    designs : sequence of mapping, optional
        The points themselves instead: values by key, if wanted with ``cost``, ``name``.
    degree : int
        As of :func:`hoistopt.solve`.
    effort : Effort, optional
        Its time limit is for each point, which gets one search thread; its workers are
        how many points are solved at a time where no executor is given.
    time_limit, seed, on_progress
        Single parts of an effort, instead of it.
    executor : concurrent.futures.Executor, optional
        What runs the points, such as ``Client.get_executor()`` of a Dask cluster; by
        default processes on this computer. Where worker processes are started by a
        script, its own doings belong under ``if __name__ == "__main__":``.
    jobs : int, optional
        Points solved at a time where no executor is given, if the effort does not say; by
        default one per core.
    keep : str or Path, optional
        File that answers are kept in as they come, and taken from when started again.
    on_point : callable, optional
        Called with each point as it is done, how many are, and how many there are.

    Returns
    -------
    Study
        A stop keeps the points solved so far; the others are "not run".

    Raises
    ------
    InputError
        Before anything is solved, when some point is no problem that can be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> with ThreadPoolExecutor(1) as executor:
    ...     done = hoistopt.study(problem, {"hoist.lift": [6, 5]}, executor=executor)
    >>> [float(point.cycle_time) for point in done.points]
    [234.0, 231.1]
    """
    effort = effort_of(effort, time_limit=time_limit, seed=seed, on_progress=on_progress)
    if jobs is not None and (not isinstance(jobs, int) or not 1 <= jobs <= MOST_JOBS):
        raise InputError(f"a whole number from 1 to {MOST_JOBS}", field="jobs", value=jobs)
    if jobs is not None and effort.workers is not None:
        raise InputError("either an effort with workers or jobs, not both", field="jobs")
    varied = parameters_of(parameters)
    if varied and designs is not None:
        raise InputError("either parameters to combine or designs", field="designs")
    if not varied and designs is None:
        raise InputError("at least one parameter to vary")
    made = grid(problem, varied, degree) if varied else from_rows(problem, designs or (), degree)
    reference = as_it_is(problem, degree)
    journal = None if keep is None else Journal(keep, effort.seed, effort.time_limit)
    clock = Clock(replace(effort, time_limit=None))  # the limit is for each point
    answers = _Answers([*made, reference], journal, clock, on_point)
    complete = run_tasks(
        solve_task,
        {
            key: (plain_data(d.problem), d.degree, effort.time_limit, effort.seed)
            for key, d in answers.missing()
        },
        executor,
        jobs or effort.workers or os.cpu_count() or 1,
        answers.hear,
        clock,
    )
    return Study(
        problem,
        tuple(varied),
        tuple(answers.point(design) for design in made),
        answers.point(reference),
        without_effect(made, [parameter.name for parameter in varied]),
        complete,
    )


def _kept(design: Design, journal: Journal) -> Answer | None:
    """A kept answer, unless it is none: it is replayed like a fresh one, and may be edited."""
    data = journal.answer(design.key)
    try:
        answer = None if data is None else answer_from(design.problem, data)
    except (KeyError, TypeError, ValueError, AttributeError, InputError):
        return None
    solved = answer is not None and answer.status not in ("failed", "not run")
    return answer if solved else None


class _Answers:
    """Answers by what they answer; designs that come to the same problem share one."""

    def __init__(
        self,
        designs: list[Design],
        journal: Journal | None,
        clock: Clock,
        on_point: Callable[[Point, int, int], None] | None,
    ) -> None:
        self._designs: dict[str, Design] = {}
        for design in designs:
            self._designs.setdefault(design.key, design)
        self._journal, self._clock, self._on_point = journal, clock, on_point
        self._answers: dict[str, Answer] = {}
        for key, design in self._designs.items():
            known = None if journal is None else _kept(design, journal)
            if known is not None:
                self._take(key, known)

    def missing(self) -> list[tuple[str, Design]]:
        """What is to be solved, in the order of the designs."""
        return [(k, d) for k, d in self._designs.items() if k not in self._answers]

    def hear(self, key: Any, data: dict[str, Any]) -> None:
        """Take an outcome in."""
        answer = answer_from(self._designs[key].problem, data)
        if self._journal is not None and answer.status != "failed":
            self._journal.keep(key, data)
        self._take(key, answer)

    def _take(self, key: str, answer: Answer) -> None:
        self._answers[key] = answer
        done, total = len(self._answers), len(self._designs)
        point = Point(self._designs[key], answer)
        if self._on_point is not None:
            self._on_point(point, done, total)
        self._clock.tell(point.design.label, done=done, total=total)

    def point(self, design: Design) -> Point:
        """A design with its answer."""
        return Point(design, self._answers.get(design.key, Answer("not run")))
