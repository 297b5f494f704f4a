"""What a recovery gives up, as data and in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ...base.numbers.decimals import told
from ...base.text import listed
from ...problem import Problem

if TYPE_CHECKING:
    from ...planning.plan_result import Recovery


def recovery_data(recovery: Recovery | None) -> dict[str, Any] | None:
    """For JSON; None where no recovery was asked for."""
    if recovery is None:
        return None
    return {
        "lost": list(recovery.lost),
        "weight": recovery.weight,
        "least_weight": recovery.least_weight,
        "overstay": recovery.overstay,
        "least_overstay": recovery.least_overstay,
        "proven": recovery.proven,
    }


def recovery_words(problem: Problem, recovery: Recovery | None) -> list[str]:
    """Which loads are lost, and whether none of them need be; nothing where nobody asked."""
    if recovery is None:
        return []
    if not recovery.lost:
        return ["No load is lost: every window can be kept."]
    loads = [str(load) for load in recovery.lost]
    count = f"{len(loads)} load{'s are' if len(loads) > 1 else ' is'} lost, {listed(loads)}"
    if recovery.weight != len(loads):
        count += f" (weight {told(recovery.weight)})"
    if recovery.weight == recovery.least_weight:
        lost = f"{count}: proved that no programme loses less."
    else:
        lost = (
            f"{count}: not proved to be the fewest; the bound is a weight of "
            f"{told(recovery.least_weight)}."
        )
    over = f"Above the maximum in all: {told(recovery.overstay)} {problem.unit}, "
    if recovery.overstay == recovery.least_overstay:
        over += "proved to be the least."
    else:
        over += f"the bound is {told(recovery.least_overstay)} {problem.unit}."
    return [lost, over]
