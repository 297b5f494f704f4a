"""Find out why a line has no schedule, or none so quick, and what would help."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from ..base.clock import Clock, OutOfTime
from ..base.effort import Effort, Progress, effort_of
from ..base.errors import InfeasibleError, InputError
from ..base.numbers.amount import Amount, amount_of, share_of
from ..base.numbers.duration import Duration, time_in_unit
from ..base.numbers.rate import Rate
from ..checker import accepted
from ..instance import Instance, build_instance
from ..instance.limits import Limit, limits_of
from ..instance.times import ticks_down
from ..problem import Problem
from ..schedule import Schedule
from ..solver import Found, build_model, least_cycle, run_model, travels_of
from ..solver.model.decode import decode
from .answer import Conflict, OtherDegrees
from .demands import demands
from .mus import Oracle, UnsatisfiableSubset, minimal_subset
from .relaxation import Aim, Relaxation, each_at_its_best, minimal_relaxation
from .soft import held_to
from .whole import in_whole_line

USUAL_LIMIT = 60.0
"""Seconds for the whole inquiry where nothing else is said."""

USUAL_GIVE = "20%"
"""How far limits may give of which the problem says nothing: a choice, no source."""

OTHERS_SHARE = 0.4
"""Of the time left, what the look at other degrees takes at most before changes are looked for."""

CONFLICT_SHARE, WHOLE_SHARE = 0.5, 0.4
"""Of the time left, what the search for demands that conflict takes at most; and of what is then
left, the look at whether leaving out one of them is enough for the whole line."""

Elsewhere = Callable[[Clock], OtherDegrees]
"""Looks, by a clock, for another degree that keeps the wish."""


def find_conflict(
    problem: Problem,
    degree: int = 1,
    at_most: Decimal | int | float | Duration | Rate | None = None,
    by: Amount | Decimal | int | float | str = USUAL_GIVE,
    hoist_by: Decimal | int | float | str = 10,
    *,
    effort: Effort | None = None,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> Conflict:
    """Find out why a line has no schedule, or none with so short a cycle.

    Parameters
    ----------
    problem : Problem
        The line.
    degree : int
        Sets of loads per cycle. No other is looked at: ``solve(problem, "best")`` tells whether
        another keeps a rate that this one does not.
    at_most : number, Duration or Rate, optional
        Greatest cycle time wished for, in the problem's unit; of a rate in loads that of all
        loads of the cycle. Without any limit on it
        nearly every line can run, one load at a time.
    by : number or str
        How far limits may give of which the problem does not say it by `may_give_min` and
        `may_give_max`: a time in the problem's unit, or a share such as "20%" of each. For
        minima and maxima, drips, least times at the ends of the line and the way back of
        carriers; of carriers there may be one more.
    hoist_by : number or str
        By how many per cent the hoist's times to lift, to lower and for single moves may
        get shorter; 0 leaves them as they are. Of several hoists they stay as they are, and
        so do drips.
    effort : Effort, optional
        Its time limit is for the whole; what is not proved by then is said not to be.
        Without an effort, 60 seconds.
    time_limit, workers, seed, on_progress
        Single parts of an effort, instead of it.

    Raises
    ------
    InputError
        When `at_most` is no time above 0, an amount makes no sense, or the problem cannot
        be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> found = hoistopt.find_conflict(problem, at_most=200)
    >>> found.status, found.least
    ('none', Fraction(234, 1))
    """
    effort = effort_of(
        effort,
        time_limit=time_limit,
        workers=workers,
        seed=seed,
        on_progress=on_progress,
        usual_limit=USUAL_LIMIT,
    )
    return inquire(problem, degree, at_most, by, hoist_by, effort)


def inquire(
    problem: Problem,
    degree: int,
    at_most: Decimal | int | float | Duration | Rate | None,
    by: Amount | Decimal | int | float | str,
    hoist_by: Decimal | int | float | str,
    effort: Effort,
    elsewhere: Elsewhere | None = None,
) -> Conflict:
    """The inquiry of :func:`find_conflict`, which may look at other degrees as well.

    Parameters
    ----------
    elsewhere : callable, optional
        Asked before any change is looked for, where this degree is not known to keep the wish;
        where it finds a degree that does, that is the answer. Given from above, as the search of
        the best degree stands above this room.
    """
    clock = Clock(effort)
    wanted = None if at_most is None else limit_of(at_most, problem, degree)
    give, quicker = amount_of(by).in_unit(problem.unit), share_of(hoist_by)
    try:
        whole = build_instance(problem, degree, clock, several=True)
    except InfeasibleError as error:
        return Conflict("none", degree, wanted, problem.unit, reason=str(error))
    except OutOfTime:
        return _unknown(problem, degree, wanted)
    longest = None if wanted is None else ticks_down(wanted, whole.ticks_per_unit)
    instance = held_to(whole, longest)
    clock.tell("whether there is any schedule")
    schedule, status = _any_schedule(instance, clock.share(0.5))
    if schedule is not None:
        accepted(problem, schedule, made_here=True)
        return Conflict("possible", degree, wanted, problem.unit, schedule=schedule)
    others = None
    if elsewhere is not None:
        others = elsewhere(clock if status == "unknown" else clock.share(OTHERS_SHARE))
        if others.degree is not None:
            return Conflict(
                "possible",
                others.degree,
                others.at_most,
                problem.unit,
                schedule=others.schedule,
                others=others,
            )
    if status == "unknown":
        return replace(_unknown(problem, degree, wanted), others=others)
    if whole.several is not None:
        quicker = Fraction(0)  # where hoists are, and when, is no variable
    limits = limits_of(problem, whole, give, Amount(share=quicker) if quicker else None)
    if whole.several is not None:
        limits = tuple(limit for limit in limits if limit.only_helps)
    shortest, subset, relaxations = _why(problem, whole, instance, limits, clock)
    least = shortest.schedule
    return Conflict(
        "none",
        degree,
        wanted,
        problem.unit,
        subset=subset,
        relaxations=tuple(relaxations),
        least=None if least is None else least.time(least.cycle),
        least_proven=shortest.status == "optimal",
        give=str(give),
        hoist_give=str(Amount(share=quicker)) if quicker else None,
        several=whole.several is not None,
        others=others,
    )


def _unknown(problem: Problem, degree: int, wanted: Fraction | None) -> Conflict:
    subset = UnsatisfiableSubset("unknown")
    return Conflict("unknown", degree, wanted, problem.unit, subset=subset)


def _any_schedule(instance: Instance, clock: Clock) -> tuple[Schedule | None, str]:
    """Some schedule, and whether there is one: "unknown" when the clock was over first."""
    try:
        variables = build_model(instance, clock=clock)
    except OutOfTime:
        return None, "unknown"
    status, solver = run_model(variables.model, clock)
    if status not in ("optimal", "feasible"):
        several = instance.several
        if status == "infeasible" and several is not None and not several.exact:
            # What is enough for hoists to keep apart is not always needed.
            other = least_cycle(instance, clock)
            return other.schedule, other.status
        return None, status
    schedule = decode(variables, solver.value)
    if instance.several is not None:
        travels = travels_of(instance, schedule)
        if travels is None:  # another one may have ways
            other = least_cycle(instance, clock)
            return other.schedule, "unknown" if other.schedule is None else "feasible"
        schedule = replace(schedule, travels=travels)
    return schedule, status


def _why(
    problem: Problem,
    whole: Instance,
    instance: Instance,
    limits: Sequence[Limit],
    clock: Clock,
) -> tuple[Found, UnsatisfiableSubset | None, list[Relaxation]]:
    """What is known by the end of the clock of an instance without a schedule.

    That is the least cycle time of the line without a limit on it, the demands that
    conflict and the smallest changes of limits; the last two may be missing.
    """
    clock.tell("the least cycle time without the limit")
    shortest = least_cycle(replace(whole, longest=None), clock.share(0.25))
    if clock.over:
        return shortest, None, []
    asked = demands(problem, instance)
    left = clock.left
    each = None if left is None else left * 0.15
    oracle = Oracle(problem, instance, asked, clock.share(CONFLICT_SHARE), each)
    oracle.hear = lambda questions, _: clock.tell(f"what conflicts, question {questions}")
    oracle.answers[frozenset(asked)] = False
    if shortest.status != "unknown":
        unhurried = frozenset(demand for demand in asked if demand.kind != "longest")
        oracle.answers.setdefault(unhurried, shortest.schedule is not None)
    subset = minimal_subset(oracle)
    subset = in_whole_line(replace(oracle, clock=clock.share(WHOLE_SHARE)), subset)
    relaxations: list[Relaxation] = []
    aims: tuple[tuple[Aim, float], ...] = (("number", 0.4), ("share", 1.0))
    for aim, share in aims:
        if clock.stopped:
            break
        clock.tell("the smallest change")
        relaxations.append(
            minimal_relaxation(
                problem, instance, limits, aim, like=shortest.schedule, clock=clock.share(share)
            )
        )
        if relaxations[-1].status == "none":
            break
    return shortest, subset, each_at_its_best(relaxations)


def limit_of(
    value: Decimal | int | float | Duration | Rate,
    problem: Problem,
    degree: int,
    field: str = "at_most",
) -> Fraction:
    """A greatest cycle time as an exact fraction of the unit; that of a rate rounded down.

    Raises
    ------
    InputError
        When it is no number above 0.
    """
    try:
        if isinstance(value, Rate):
            number = value.time_of(degree * len(problem.load_set), problem.unit, "down")
        else:
            number = time_in_unit(value, problem.unit)
    except ValueError as error:
        raise InputError(str(error), field=field, value=value) from None
    if number <= 0:
        raise InputError("a time above 0", field=field, value=value)
    return Fraction(number)
