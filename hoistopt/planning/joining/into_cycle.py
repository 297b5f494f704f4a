"""Over into a cycle: what is ordered is done before, in the line then, or served by the cycle."""

from __future__ import annotations

from dataclasses import replace

from ...base.clock import Clock, OutOfTime
from ...base.errors import InfeasibleError
from ...problem import Problem
from ...schedule import LineState, Order, Schedule
from ..plan_result import Plan
from ..planned import without_programme
from .from_state import Asked, IntoCycle, named_cycle
from .served import shared_out

AT_FIRST = 0.5
"""Of the time left, to see whether the cycle can serve what has a due time in time."""


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
    late so, else those that are not late so; where that makes others late, those without a due
    time.

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
    due = frozenset(order for order in asked.orders if order.due is not None)
    before: frozenset[Order] = frozenset()
    tried: list[Plan] = []
    while True:
        kept, served = shared_out(asked.orders, recipes, in_order=asked.in_order, before=before)
        may_be_late = any(order.due is not None for order in served)
        found, overdue = _tried(
            problem,
            named,
            state,
            clock.share(AT_FIRST) if may_be_late else clock,
            replace(asked, orders=kept, served=served),
        )
        tried.append(found)
        none = found.programme is None
        if found.status == "infeasible" and not before:
            return found
        if not may_be_late or not (overdue or none):
            break
        # What was late is done before; where that does not help, all that has a due time is.
        before = due if before or none else before | overdue
    first, last = tried[0], tried[-1]
    with_programme = [plan for plan in tried if plan.programme is not None]
    if not with_programme:
        return last
    best = min(with_programme, key=_value)
    if len(tried) == 1:
        return best
    told = replace(
        best,
        # Of doing all that is due, however: no programme is less late.
        least_lateness=last.least_lateness,
        lower_bound=_less(best.lower_bound, first.lower_bound),
        least_changeover_time=_less(best.least_changeover_time, first.least_changeover_time),
    )
    bounds = told.least_lateness, told.least_changeover_time, told.lower_bound
    met = bounds == (told.lateness, told.changeover_time, told.in_step)
    return replace(told, status="optimal" if met else "feasible")


def _tried(
    problem: Problem, named: Schedule, state: LineState, clock: Clock, asked: Asked
) -> tuple[Plan, frozenset[Order]]:
    """The plan, and the orders that are late though the cycle serves them."""
    try:
        search = IntoCycle(problem, named, state, clock, asked)
        return search.run(), search.overdue
    except InfeasibleError as error:
        return without_programme(problem, "infeasible", clock, f"{error}."), frozenset()
    except OutOfTime:
        return without_programme(problem, "unknown", clock), frozenset()


def _value(plan: Plan) -> tuple[float, float, float]:
    """What is to be least, the most important first."""
    return plan.lateness or 0, plan.changeover_time or 0, plan.in_step or 0


def _less(known: float | None, other: float | None) -> float | None:
    return None if known is None else min(known, other or 0)
