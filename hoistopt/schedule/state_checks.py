"""Whether a state can be one of a line, and whose maximum is over in it already."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container

from ..base.errors import InputError
from ..base.numbers.decimals import told
from ..problem import Problem
from .state import LineState
from .state_entries import check_hoist, check_standing, last_stage
from .state_room import check_room


def check_state(problem: Problem, state: LineState) -> None:
    """Refuse a state that cannot be one of the line.

    A dwell beyond its maximum can be: it is what a stop leaves behind. See
    :func:`overstays`.

    Raises
    ------
    InputError
        For the first thing that is wrong.
    """
    for number, entry in enumerate(state.standing, start=1):
        check_standing(problem, entry, f"standing, entry {number}")
    check_hoist(problem, state)
    check_room(problem, state)
    twice = [load for load, times in Counter(state.loads).items() if times > 1]
    if twice:
        raise InputError(
            "each load once",
            field=f"{_entry_of(state, twice[0])}load",
            value=twice[0],
            way_out="It stands in one tank, or hangs at a hoist. Give the other another number, or "
            "leave the numbers out.",
        )


def _entry_of(state: LineState, load: int) -> str:
    """The last of the entries in which a load stands, for an error; or nothing."""
    entries = enumerate(state.standing, start=1)
    found = [number for number, entry in entries if entry.load == load]
    return f"standing, entry {found[-1]}, " if found else ""


def overstays(problem: Problem, state: LineState, besides: Container[int | None] = ()) -> list[str]:
    """A sentence for each load that stands, or may stand, longer than its maximum already.

    Loads `besides` are left out.
    """
    found = []
    for entry in state.standing:
        if entry.recipe is None or not 1 <= entry.stage < last_stage(problem, entry.recipe):
            continue
        if entry.load is not None and entry.load in besides:
            continue
        stage = problem.recipe_by_name[entry.recipe].stages[entry.stage - 1]
        if stage.max is None or entry.stood.most <= stage.max:
            continue
        sure = "has stood" if entry.stood.least > stage.max else "may have stood"
        which = "The load" if entry.load is None else f"Load {entry.load}"
        found.append(
            f"{which} of {entry.recipe} in {entry.station} {sure} for "
            f"{told(entry.stood.most)} {problem.unit}, longer than its maximum of "
            f"{stage.max:f} {problem.unit} in stage {entry.stage} ({stage.label})."
        )
    return found
