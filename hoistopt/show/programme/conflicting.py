"""Why there is no programme: as data, as a table, in words, with what can be done."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ...conflict import UnsatisfiableSubset
from ..conflict.data import member_data

if TYPE_CHECKING:
    from ...planning.plan_result import Plan

if TYPE_CHECKING:
    from rich.console import RenderableType


def conflict_data(subset: UnsatisfiableSubset | None) -> dict[str, Any] | None:
    """For JSON; None where there is a programme, or nobody knows why not."""
    if subset is None or subset.status != "conflict":
        return None
    return {
        "sentence": subset.sentence(),
        "members": member_data(subset),
        "minimal": subset.minimal,
    }


def conflict_tables(subset: UnsatisfiableSubset | None) -> list[RenderableType | str]:
    """What cannot be kept together, a row each."""
    from ..conflict.table import subset_table

    return [subset_table(subset)] if subset is not None and subset.demands else []


def conflict_words(plan: Plan) -> list[str]:
    """What helps where there is no programme."""
    if plan.status != "infeasible":
        return []
    found = []
    if plan.recoverable:
        found.append(
            "With --recover loads in the line are given up, as few as can be, and named; the "
            "others keep every window."
        )
    if plan.conflict is not None and any(d.kind == "load" for d in plan.conflict.demands):
        found.append(
            "No move can begin this: take one of these loads out by hand, and take it out of "
            "the state as well."
        )
    return found
