"""Which lines are planned, with all tanks and without some, and for how long each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...base.clock import Clock
from ...base.effort import Effort, Progress
from ...base.errors import InputError
from ...base.text import listed
from ...instance.edits import without_hoists, without_tanks
from ...planning.best_degree.best_of_degrees import solve_best_degree
from ...planning.idle import groups_of_tanks
from ...planning.result import Result, exact_time_per_load
from ...problem import Problem
from ...schedule import Schedule
from .answer import Without, WithoutTanks, is_open
from .known import known_without, uses

FIRST_SHARE, LAST_SHARE = 0.4, 0.2
"""Of the time, what the line with all its tanks is searched for; and of what is left then, what it
is searched for once more at the end, where a hoist is out and it is not proved."""


def find_without(
    problem: Problem, tanks: Sequence[str] = (), effort: Effort | None = None
) -> Without:
    """Plan the line without tanks of its groups, at the best degree each time.

    Parameters
    ----------
    problem : Problem
    tanks : sequence of str
        Tanks that are out of use at the same time; left out, every tank of every group that
        serves a stage, one at a time. Hoists of a line with several may be among them: those
        stand at an end of the track, out of the way of the others.
    effort : Effort, optional
        Its time limit is for the whole.

    Raises
    ------
    InputError
        When a tank is not one of several for a stage, or those named leave a stage without any;
        when hoists are named that have others on both sides, or all of them. Where no tank is
        named, one that the line cannot run without is a row without a schedule, with the reason.
    """
    effort = effort or Effort()
    hoists = _hoists_out(problem, tanks)
    asked = _asked(problem, [name for name in tanks if name not in hoists], hoists)
    lines = [_line(problem, names, hoists, named=bool(tanks)) for names in asked]
    clock = Clock(effort)
    doing = f"0 of {len(asked)}: the whole line"
    whole = _solved(problem, clock.share(FIRST_SHARE), effort, doing, ())
    questions = clock.share(1 - LAST_SHARE) if hoists and is_open(whole) else clock
    rows: list[WithoutTanks] = []
    for number, (tanks_out, line) in enumerate(zip(asked, lines, strict=True)):
        if clock.over:
            break
        names = (*tanks_out, *hoists)
        stages = tuple(dict.fromkeys(label for n in tanks_out for label in _stages(problem, n)))
        doing = f"{number} of {len(asked)}: without {', '.join(names)}"
        if isinstance(line, InputError):
            why = _why_not(problem, tanks_out, line)
            none = Result("infeasible", None, None, 1, 0, None, 0.0, reason=why)
            rows.append(WithoutTanks(tanks_out, stages, none, hoists))
            continue
        known = known_without(
            problem, line, names, [whole, *(row.result for row in rows)], questions
        )
        idle = whole.schedule is not None and not uses(whole.schedule, names)
        if idle and not (hoists and is_open(whole)):
            found = replace(whole, problem=line)  # the same cycle: the tanks stand idle
        else:
            part = questions.share(1 / (len(asked) - number))
            found = _solved(line, part, effort, doing, known)
        rows.append(WithoutTanks(tanks_out, stages, found, hoists))
    complete = len(rows) == len(asked)
    whole = _best(whole, rows)
    if hoists and is_open(whole) and not clock.over:
        schedules = [] if whole.schedule is None else [whole.schedule]
        whole = _better(whole, _solved(problem, clock, effort, doing, schedules))
    return Without(problem, whole, tuple(rows), complete)


def _better(one: Result, other: Result) -> Result:
    """The one with the lesser mean time per load; the second of equals, as the bounds of its
    longer search are no worse."""
    if other.schedule is None or one.schedule is None:
        return one if other.schedule is None else other
    return other if exact_time_per_load(other) <= exact_time_per_load(one) else one


def _hoists_out(problem: Problem, names: Sequence[str]) -> tuple[str, ...]:
    """The hoists among the names: all from an end of the track on."""
    all_names = [hoist.name or "" for hoist in problem.hoists]
    tanks = problem.station_by_name
    out = [n for n, name in enumerate(all_names) if name and name in names and name not in tanks]
    left = [n for n in range(len(all_names)) if n not in out]
    if out and (not left or left != list(range(left[0], left[-1] + 1))):
        raise InputError(
            "hoists that leave others, and have none of those on both sides",
            field="TANK",
            value=", ".join(all_names[n] for n in out),
            way_out="A hoist that does nothing stands at an end of the track.",
        )
    return tuple(all_names[n] for n in out)


def _line(
    problem: Problem, tanks: tuple[str, ...], hoists: tuple[str, ...], *, named: bool
) -> Problem | InputError:
    """The line without them, or why it cannot run so: its other hoists cannot do the work, or a
    recipe has no other tank. Where the tanks were named, the latter is raised instead."""
    try:
        line = without_tanks(problem, tanks) if tanks else problem
    except InputError as error:
        if named:
            raise
        return error
    if not hoists:
        return line
    try:
        return without_hoists(line, hoists)
    except InputError as error:
        return error


def _why_not(problem: Problem, tanks: Sequence[str], error: InputError) -> str:
    """Why the line does not run without some tanks: the recipes that have no other, if any."""
    needed = [
        f'recipe "{name}" has no other tank for stage {place}'
        for name in dict.fromkeys(problem.load_set)
        for place, stage in enumerate(problem.recipe_by_name[name].stages, start=1)
        if set(stage.station) <= set(tanks)
    ]
    return listed(needed) or str(error)


def _asked(
    problem: Problem, tanks: Sequence[str], hoists: tuple[str, ...]
) -> list[tuple[str, ...]]:
    """Which tanks to leave out, a question each; none where only hoists are."""
    if hoists and not tanks:
        return [()]
    grouped = list(dict.fromkeys(n for _, names, _ in groups_of_tanks(problem) for n in names))
    if not grouped:
        raise InputError(
            "a stage that several tanks serve",
            field="station",
            way_out="Without parallel tanks the line does not run with one of them missing.",
        )
    for name in tanks:
        if name not in grouped:
            raise InputError(
                f"one of the tanks that share a stage: {', '.join(grouped)}",
                field="TANK",
                value=name,
            )
    if tanks:
        return [tuple(dict.fromkeys(tanks))]
    return [(name,) for name in grouped]


def _stages(problem: Problem, tank: str) -> list[str]:
    return [s for stages, names, _ in groups_of_tanks(problem) if tank in names for s in stages]


def _solved(
    problem: Problem, clock: Clock, effort: Effort, doing: str, known: Sequence[Schedule]
) -> Result:
    """The best over all degrees in the time that is left."""

    def hear(news: Progress) -> None:
        effort.tell(replace(news, doing=doing))

    limit = clock.left
    own = replace(effort, on_progress=hear, time_limit=None if limit is None else max(limit, 0.01))
    return solve_best_degree(problem, own, known)


def _best(whole: Result, rows: Sequence[WithoutTanks]) -> Result:
    """The line with all its tanks is never worse than without some: the best found of all."""
    best = whole
    for row in rows:
        if row.result.schedule is None:
            continue
        if best.schedule is None or exact_time_per_load(row.result) < exact_time_per_load(best):
            # What bounds it is what bounds the whole line, not the line without the tank.
            choice = whole.choice
            best = replace(row.result, problem=whole.problem, choice=choice, status="feasible")
    return best
