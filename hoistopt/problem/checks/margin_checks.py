"""Rules on the margin asked for: no window may be too narrow for it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from ...base.errors import InputError
from ..recipe import Recipe, Stage
from ..statement import Statement


def narrow_windows(problem: Statement) -> None:
    """A window holds what its stage keeps below the maximum, and the float of the move in.

    Raises
    ------
    InputError
        For the first stage whose window does not.
    """
    for recipe in problem.recipes:
        before = problem.line_margin[1]
        for number, stage in enumerate(recipe.stages, start=1):
            slack, late = problem.margin_of(stage)
            if stage.max is not None:
                _fits(problem, recipe, number, slack, late, before)
            before = late


def _fits(
    problem: Statement, recipe: Recipe, number: int, slack: Decimal, late: Decimal, before: Decimal
) -> None:
    stage = recipe.stages[number - 1]
    assert stage.max is not None
    width, needed = stage.max - stage.min, max(slack, late) + before
    if needed <= width:
        return
    sums = " and ".join(
        [
            *([f"{max(slack, late):f} below its maximum"] if slack or late else []),
            *([f"{before:f} of float for the move into it"] if before else []),
        ]
    )
    own = stage.margin is not None
    raise InputError(
        f"no more than the window of the stage holds, {stage.min:f} to {stage.max:f}: "
        f"asked for are {sums}",
        field=f'recipe "{recipe.name}", stage {number} ("{stage.label}"), margin',
        value=f"{needed:f} in all",
        way_out="Ask for less there, or in the stage before it, whose float counts here too."
        if own
        else "Give this stage a margin of its own, such as margin = 0, or ask less of the line.",
    )


def without_effect(problem: Statement) -> Iterator[str]:
    """A sentence about every slack that a stage without a maximum is asked to keep."""
    for recipe in problem.recipes:
        for number, stage in enumerate(recipe.stages, start=1):
            if stage.max is None and _own_slack(stage):
                yield (
                    f'Recipe "{recipe.name}", stage {number} ("{stage.label}") asks for slack '
                    "and has no maximum: however late a load is lifted there, no maximum is "
                    "exceeded, so the slack has no effect."
                )


def _own_slack(stage: Stage) -> bool:
    return stage.margin is not None and bool(stage.margin.slack)
