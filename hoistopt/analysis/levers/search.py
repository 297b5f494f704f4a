"""Which limit is worth raising with the process engineer: what each costs in cycle time."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Literal

from ...base.clock import Clock, OutOfTime
from ...base.effort import Effort, Progress, effort_of
from ...base.errors import InfeasibleError
from ...base.numbers.amount import Amount, amount_of, share_of
from ...instance import Instance, build_instance
from ...instance.limits import HALF, Limit, limits_of
from ...planning.found import shortener
from ...problem import Problem
from ...solver import least_cycle, lowest_cycle
from .answer import Lever, Levers
from .today import Today
from .trying import Trying


def find_levers(
    problem: Problem,
    degree: int = 1,
    by: Amount | Decimal | int | str = "10%",
    hoist_by: Decimal | int | float | str = 10,
    *,
    effort: Effort | None = None,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> Levers:
    """Rank the limits of a line by what giving way would gain, each re-optimised.

    Every minimum in turn falls, every maximum rises; so for the least occupation at the
    ends of the line, the drips and the way back of carriers; one carrier more; lifting,
    lowering and every single move of the hoist quicker, and all of its times. Of several
    hoists each in turn is quicker, and all of them; single moves are left out there, as they
    have no times of their own. Whatever order of moves is best then is counted, not the order
    of today.

    Besides the gain at the amount asked for, the threshold of each limit is looked for:
    how far it must give way before the cycle gets shorter; for all times of the hoist
    together in whole per cents. A limit whose amount gains
    nothing is shown at its threshold. Where the problem says how far a limit may give, by
    `may_give_min` and `may_give_max`, nothing beyond that is tried; otherwise minima may
    fall to 0, maxima rise without end, and times of the hoist fall to half.

    Everything is tried from today's best schedule. First its order of moves is given the
    changed times; then the line is planned with many limits giving way at once, which bounds
    what each of them can gain; then one search over all limits, any one of which may give
    way, finds those that help and proves that the others do not; then each that helps has
    searches of its own, the most promising first, and time that is left goes to what is not
    settled.

    Parameters
    ----------
    problem, degree
        As for :func:`hoistopt.solve`.
    by : number or str
        How far limits give way: a time in the problem's unit, or "10%" of each.
    hoist_by : number
        By how many per cent the hoist's times get shorter; 0 leaves them out.
    effort : Effort, optional
        Its time limit is for the whole; what is not proved by then says so.
    time_limit, workers, seed, on_progress
        Single parts of an effort, instead of it.

    Raises
    ------
    InputError
        When an amount makes no sense, or the problem cannot be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> found = hoistopt.find_levers(problem, by="10%")
    >>> best = found.levers[0]
    >>> best.words, best.gain_least
    ('minimum of Dryer from 180 to 162', Fraction(189, 10))
    """
    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    amount, share = amount_of(by).in_unit(problem.unit), share_of(hoist_by)
    clock = Clock(effort)
    clock.tell("the line as it is")
    try:
        instance = build_instance(problem, degree, clock, several=True)
    except InfeasibleError as error:
        return Levers("infeasible", degree, problem.unit, reason=str(error))
    except OutOfTime:
        return Levers("unknown", degree, problem.unit, runtime=clock.elapsed)
    found = least_cycle(instance, clock.share(1 / 3), shorten=shortener(problem))
    if found.schedule is None:
        status: Literal["infeasible", "unknown"] = (
            "infeasible" if found.status == "infeasible" else "unknown"
        )
        return Levers(status, degree, problem.unit, runtime=clock.elapsed)
    today = Today.of(problem, instance, found.schedule, proved=found.status == "optimal")
    trying = Trying(today, clock)
    trying.run(_changes(problem, instance, amount, Amount(share=share) if share else None))
    grid = instance.ticks_per_unit
    return Levers(
        found.status,
        degree,
        problem.unit,
        found.schedule.cycle / grid,
        max(found.bound, lowest_cycle(instance)) / grid,
        tuple(sorted(trying.levers(), key=_rank)),
        clock.elapsed,
        loads_per_cycle=instance.jobs,
        seconds_per_unit=problem.seconds_per_unit,
    )


def _changes(
    problem: Problem, instance: Instance, amount: Amount, quicker: Amount | None
) -> dict[Limit, Decimal]:
    """The figure each limit is to be changed to."""
    changes = {}
    for limit in limits_of(problem, instance, None, None if quicker is None else HALF):
        if limit.kind == "carriers":
            changes[limit] = limit.today + 1
        elif limit.kind in ("lift", "lower", "move"):
            assert quicker is not None
            changes[limit] = limit.given(quicker.of(limit.today))
        else:
            changes[limit] = limit.given(amount.of(limit.today))
    if quicker is not None:
        percent = quicker.of(Decimal(100))
        far = max(percent, HALF.of(Decimal(100)))
        names = [hoist.name or "" for hoist in problem.hoists] if instance.several else []
        for name in ("", *names):
            whose = name or ("all hoists" if names else "the hoist")
            about = f"every time of {whose}"
            changes[Limit("hoist", about, Decimal(0), far, hoist=name)] = percent
    return changes


def _rank(lever: Lever) -> tuple[object, ...]:
    return -lever.gain_least, -lever.gain_most, lever.threshold is None or lever.threshold.never
