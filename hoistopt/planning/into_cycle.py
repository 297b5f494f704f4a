"""Over into a cycle: what is ordered is done before, in the line then, or served by the cycle."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from ..base.clock import Clock, OutOfTime
from ..base.errors import InfeasibleError
from ..problem import Problem
from ..schedule import LineState, Schedule
from .joining import Asked, IntoCycle, named_cycle
from .plan_result import Plan
from .planned import without_programme
from .served import shared_out

AT_FIRST = 0.5
"""Of the time, to see whether the cycle can serve what has a due time in time."""


def into_cycle(
    problem: Problem,
    schedule: Schedule,
    state: LineState,
    clock: Clock,
    asked: Asked,
) -> Plan:
    """The plan that goes over into a cycle soonest.

    Of those that lose the least, where loads may be lost, the least late are looked for, and
    of these the one that is in step soonest. Orders of recipes that the cycle carries may be
    served by loads that it brings in later: all of them, where none of those with a due time is
    late so, else those without one.

    Parameters
    ----------
    problem : Problem
    schedule : Schedule
        The cycle.
    state : LineState
        Checked, every load with its number.
    clock : Clock
    asked : Asked

    Raises
    ------
    Refused
        When the cycle breaks a rule of the line.
    InputError
        When the cycle makes no sense on the line, or too many moves would be written out.
    ProgrammeRefused
        When the independent checker refuses the programme; please report it.
    """
    named = named_cycle(problem, schedule)
    recipes = {step.recipe for step in named if step.recipe is not None}
    kept, served = shared_out(asked.orders, recipes, in_order=asked.in_order, due=True)
    due = any(order.due is not None for order in served)
    first, late = _tried(
        problem,
        named,
        state,
        clock.share(AT_FIRST) if due else clock,
        replace(asked, orders=kept, served=served),
    )
    if first.status == "infeasible" or not (late or (due and first.programme is None)):
        return first
    kept, served = shared_out(asked.orders, recipes, in_order=asked.in_order, due=False)
    second, _ = _tried(problem, named, state, clock, replace(asked, orders=kept, served=served))
    if second.programme is None:
        return first if first.programme is not None else second
    best = second if first.programme is None else min(first, second, key=_value)
    told = replace(
        best,
        # Of doing all that is due, however: no programme is less late.
        least_lateness=second.least_lateness,
        lower_bound=_less(best.lower_bound, first.lower_bound),
        least_changeover_time=_less(best.least_changeover_time, first.least_changeover_time),
    )
    bounds = told.least_lateness, told.least_changeover_time, told.lower_bound
    met = bounds == (told.lateness, told.changeover_time, told.in_step)
    return replace(told, status="optimal" if met else "feasible")


def _tried(
    problem: Problem, named: Schedule, state: LineState, clock: Clock, asked: Asked
) -> tuple[Plan, Fraction]:
    """The plan, and how late those are that the cycle serves."""
    try:
        search = IntoCycle(problem, named, state, clock, asked)
        return search.run(), search.late
    except InfeasibleError as error:
        return without_programme(problem, "infeasible", clock, f"{error}."), Fraction(0)
    except OutOfTime:
        return without_programme(problem, "unknown", clock), Fraction(0)


def _value(plan: Plan) -> tuple[float, float, float]:
    """What is to be least, the most important first."""
    return plan.lateness or 0, plan.changeover_time or 0, plan.in_step or 0


def _less(known: float | None, other: float | None) -> float | None:
    return None if known is None else min(known, other or 0)
