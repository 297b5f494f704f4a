"""From a programme that is promised to the moves that a planning leaves alone."""

from __future__ import annotations

from collections.abc import Sequence

from ..base.errors import InputError
from ..checker import accepted_programme
from ..instance.promised import Promise, PromisedMove
from ..problem import Problem
from ..schedule import LineState, Programme


def promise_of(
    problem: Problem, promised: Programme, state: LineState, lost: Sequence[int] = ()
) -> Promise:
    """What a programme promises.

    Parameters
    ----------
    problem : Problem
    promised : Programme
        Moves from the state on.
    state : LineState
        Checked, every load with its number.
    lost : sequence of int
        Loads of the state that the programme, a recovery, gives up.

    Raises
    ------
    InputError
        When it leaves loads in the line, or goes on as a cycle for ever.
    ProgrammeRefused
        When it breaks a rule.
    """
    way_out = "Give a programme that ends with the line empty."
    if promised.repeats is not None:
        raise InputError(
            "a programme that takes every load out of the line",
            field="promised",
            value="it goes on as a cycle for ever",
            way_out=way_out,
        )
    seen = accepted_programme(problem, promised, state, lost=lost)
    if seen.left:
        raise InputError(
            "a programme that takes every load out of the line",
            field="promised",
            value=f"load {min(seen.left)} is left in it",
            way_out=way_out,
        )
    moves: dict[int, list[PromisedMove]] = {}
    for run in seen.runs:
        made = PromisedMove(run.start, run.source, run.target, run.step, run.hoist)
        moves.setdefault(run.load, []).append(made)
    return Promise(
        {load: tuple(way) for load, way in moves.items()},
        tuple((run.load, run.recipe) for run in seen.runs if run.stage == 0),
    )
