"""Take the loads of a state and of orders through the line, as early as can be."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from ..base.effort import Effort
from ..base.numbers.duration import Duration, given_time
from ..checker import state_in_cycle
from ..planning import programme as planning
from ..planning.joining.from_state import named_cycle
from ..planning.waiting import place_next
from ..problem import Problem
from ..schedule import LineState, Order, Programme, Schedule
from ..schedule.files import read_moves, read_programme
from ..schedule.orders import read_orders
from ..schedule.raw_move import LONGEST
from ..schedule.state_files import read_state
from ..show.programme.planned import PlannedAnswer
from .given import Line, Moves, naming, problem_of


def plan(
    line: Line,
    orders: Sequence[Order] | str | Path = (),
    state: LineState | str | Path | None = None,
    *,
    to: Moves | None = None,
    loads_out: int = 1,
    in_order: bool = False,
    recover: bool = False,
    promised: Programme | str | Path | None = None,
    lost: Sequence[int] = (),
    effort: Effort | None = None,
) -> PlannedAnswer:
    """Plan from a state of the line to the line empty, all orders done, or into a cycle.

    Parameters
    ----------
    line : Problem, str or Path
    orders : sequence of Order, str or Path
        Without any the line runs out.
    state : LineState, str or Path, optional
        By default the line is empty.
    to : Schedule, str, Path or MovesFile, optional
        The cycle to go over into, all that is ordered done on the way or in it.
    loads_out : int
        Loads that are to be out by the end of the moves given, where there is a cycle.
    in_order : bool
        Whether loads enter in the order of the orders.
    recover : bool
        Whether loads of the state may be lost, as few as can be.
    promised : Programme, str or Path, optional
        Moves that keep their times: what is ordered comes beside them, a cycle after them.
    lost : sequence of int
        Loads of the state that the promised programme gives up.
    effort : Effort, optional

    Raises
    ------
    InputError
        When a file or a limit cannot be used, or there is nothing to do.
    Refused
        When the cycle breaks a rule of the line.
    ProgrammeRefused
        When what is promised breaks a rule; or the checker refuses the programme found, a fault
        in hoistopt itself.
    """
    problem = problem_of(line, several=True)
    begins = read_state(state, problem) if isinstance(state, str | Path) else state
    wanted = read_orders(orders, problem) if isinstance(orders, str | Path) else tuple(orders)
    cycle = None if to is None else _cycle(problem, to)
    given = read_programme(promised, problem) if isinstance(promised, str | Path) else promised
    with naming(line if promised is None else promised):
        found = planning.plan(
            problem,
            wanted,
            begins,
            to=cycle,
            loads_out=loads_out,
            in_order=in_order,
            recover=recover,
            promised=given,
            lost=lost,
            effort=effort or Effort(),
        )
    return PlannedAnswer(problem, found, loads_out)


def stages_needed(orders: Sequence[Order], state: LineState | None = None) -> dict[str, int]:
    """By recipe the first stage, from 1, to which a load in the line, or ordered, still comes.

    For :meth:`hoistopt.Problem.with_out_of_service`: a tank that no load needs any more does
    not keep the line from running out.
    """
    needed = {order.recipe: 1 for order in orders}
    if state is None:
        return needed
    loads = [(entry.recipe, entry.stage) for entry in state.standing]
    loads += [(load.recipe, load.stage) for _, load in state.carried]
    for recipe, stage in loads:
        if recipe is not None and stage is not None:
            needed[recipe] = min(stage + 1, needed.get(recipe, stage + 1))
    return needed


def state_at(line: Line, moves: Moves, at: Decimal | Duration) -> LineState:
    """The state of the line at a time of a cycle that is under way.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str, Path or MovesFile
        The cycle.
    at : Decimal or Duration
        Time from the beginning of the cycle.

    Raises
    ------
    InputError
        When a file cannot be used, or the time is not one of the cycle.
    Refused
        When the cycle breaks a rule of the line.
    """
    problem = problem_of(line, several=True)
    named = _cycle(problem, moves)
    with naming(moves):
        time = Fraction(given_time(at, problem.unit, "at", LONGEST))
        return state_in_cycle(problem, named, time).numbered()


def _cycle(problem: Problem, moves: Moves) -> Schedule:
    """A cycle that can be run on the line, all steps named."""
    schedule = moves if isinstance(moves, Schedule) else read_moves(moves, problem)
    with naming(moves):
        return named_cycle(problem, schedule)


def place(
    line: Line,
    promised: Programme | str | Path,
    orders: Sequence[Order] | str | Path,
    state: LineState | str | Path | None = None,
    *,
    in_order: bool = False,
    lost: Sequence[int] = (),
    effort: Effort | None = None,
) -> PlannedAnswer:
    """Place waiting loads beside a programme that is promised, without moving anything in it.

    Parameters
    ----------
    line : Problem, str or Path
    promised : Programme, str or Path
    orders : sequence of Order, str or Path
        Loads that wait.
    state : LineState, str or Path, optional
        By default the line is empty.
    in_order : bool
        Whether they enter in the order of the orders.
    lost : sequence of int
        Loads of the state that the promised programme gives up.
    effort : Effort, optional
        Of the short search that several hoists may need.

    Raises
    ------
    InputError
        When a file cannot be used.
    ProgrammeRefused
        When what is promised breaks a rule.
    """
    problem = problem_of(line, several=True)
    begins = read_state(state, problem) if isinstance(state, str | Path) else state
    wanted = read_orders(orders, problem) if isinstance(orders, str | Path) else tuple(orders)
    given = promised if isinstance(promised, Programme) else read_programme(promised, problem)
    with naming(promised):
        found = place_next(
            problem, given, wanted, begins, in_order=in_order, lost=lost, effort=effort
        )
    return PlannedAnswer(problem, found)
