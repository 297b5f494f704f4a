"""What the loads in a line count, and what a recovery gives up."""

from __future__ import annotations

from fractions import Fraction

from ..base.clock import Clock
from ..instance.finite import WEIGHTS, FiniteInstance
from ..problem import Problem
from ..schedule import LineState, readable
from ..solver.finite.recovery import Recovered
from .plan_result import Plan, Recovery
from .planned import in_conflict, without_programme

STUCK = "Even with every load in the line given up there is no way through it."


def stuck(
    problem: Problem, state: LineState, found: Recovered, clock: Clock, *, proved: bool
) -> Plan:
    """No programme was found, though every load in the line may be lost."""
    if found.status == "infeasible":
        return in_conflict(problem, state, (), clock, STUCK, proved=proved)
    return without_programme(problem, found.status, clock)


def weights(state: LineState) -> dict[int, Fraction]:
    """What each load in the line counts, by number."""
    found = {entry.load: entry.weight for entry in state.standing if entry.load is not None}
    for _, one in state.carried:
        assert one.load is not None
        found[one.load] = one.weight
    return found


def priced(instance: FiniteInstance, weight: dict[int, Fraction]) -> dict[int, int]:
    """Weights of the loads in the line as whole numbers, by their index in the instance."""
    return {
        place: round(weight[load.number] * WEIGHTS)
        for place, load in enumerate(instance.loads)
        if load.place is not None
    }


def recovery_of(
    instance: FiniteInstance, found: Recovered, lost: tuple[int, ...], weight: dict[int, Fraction]
) -> Recovery:
    """What is lost, as the checker saw it; planned dwells are longer by less than a tick."""
    gone = sum((weight[load] for load in lost), Fraction(0))
    # A fixed dwell that the checker lets pass, as it is kept to within a tick, is no overstay.
    over, least_over = (found.over, found.least_over) if lost else (0, 0)
    return Recovery(
        lost=lost,
        weight=readable(gone),
        least_weight=readable(min(gone, Fraction(found.least_lost, WEIGHTS))),
        overstay=readable(over / instance.ticks_per_unit),
        least_overstay=readable(least_over / instance.ticks_per_unit),
    )
