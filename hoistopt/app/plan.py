"""Take the loads of a state and of orders through the line, as early as can be."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..base.effort import Effort
from ..planning import programme as planning
from ..planning.waiting import place_next
from ..schedule import LineState, Order, Programme
from ..schedule.files import read_programme
from ..schedule.orders import read_orders
from ..schedule.state_files import read_state
from ..show.programme.planned import PlannedAnswer
from .given import Line, naming, problem_of


def plan(
    line: Line,
    orders: Sequence[Order] | str | Path = (),
    state: LineState | str | Path | None = None,
    *,
    in_order: bool = False,
    recover: bool = False,
    effort: Effort | None = None,
) -> PlannedAnswer:
    """Plan from a state of the line to the line empty, all orders done.

    Parameters
    ----------
    line : Problem, str or Path
    orders : sequence of Order, str or Path
        Without any the line runs out.
    state : LineState, str or Path, optional
        By default the line is empty.
    in_order : bool
        Whether loads enter in the order of the orders.
    recover : bool
        Whether loads of the state may be lost, as few as can be.
    effort : Effort, optional

    Raises
    ------
    InputError
        When a file or a limit cannot be used, or there is nothing to do.
    ProgrammeRefused
        When the checker refuses the programme: a fault in hoistopt itself.
    """
    problem = problem_of(line)
    begins = read_state(state, problem) if isinstance(state, str | Path) else state
    wanted = read_orders(orders, problem) if isinstance(orders, str | Path) else tuple(orders)
    with naming(line):
        found = planning.plan(
            problem,
            wanted,
            begins,
            in_order=in_order,
            recover=recover,
            effort=effort or Effort(),
        )
    return PlannedAnswer(problem, found)


def place(
    line: Line,
    promised: Programme | str | Path,
    orders: Sequence[Order] | str | Path,
    state: LineState | str | Path | None = None,
    *,
    in_order: bool = False,
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

    Raises
    ------
    InputError
        When a file cannot be used.
    ProgrammeRefused
        When what is promised breaks a rule.
    """
    problem = problem_of(line)
    begins = read_state(state, problem) if isinstance(state, str | Path) else state
    wanted = read_orders(orders, problem) if isinstance(orders, str | Path) else tuple(orders)
    given = promised if isinstance(promised, Programme) else read_programme(promised, problem)
    with naming(promised):
        return PlannedAnswer(problem, place_next(problem, given, wanted, begins, in_order=in_order))
