"""The one way to a checked result, and the one exception where the checker refuses.

Everything that is shown, written or worked out of a schedule goes through
:func:`accepted`. What it gives back carries the plan and the record of the replay, and is
handed on to whoever needs the schedule next, who need not replay it again.
"""

from __future__ import annotations

from ..problem import Problem
from ..schedule import Schedule
from .record import Refusal, Replay
from .replay import replay


class Refused(Refusal):
    """The checker refuses a schedule.

    Parameters
    ----------
    seen : Replay
        What it saw; at least one violation.
    made_here : bool
        Whether hoistopt itself made the schedule: then the fault is its own.

    Attributes
    ----------
    replay : Replay
    made_here : bool
    """

    def __init__(self, seen: Replay, *, made_here: bool = False) -> None:
        super().__init__("schedule", seen.violations, made_here=made_here)
        self.replay = seen


def accepted(
    problem: Problem,
    schedule: Schedule,
    seen: Replay | None = None,
    *,
    made_here: bool = False,
) -> Replay:
    """The replay of a schedule that breaks no rule.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        See :func:`replay`.
    seen : Replay, optional
        A replay made before. It is passed on if it is of this very schedule on this
        line and went on until the line repeated itself; else it is made anew.
    made_here : bool
        Whether hoistopt made the schedule, so that a refusal is a fault of its own.

    Returns
    -------
    Replay
        With no violation.

    Raises
    ------
    Refused
        When the schedule breaks a rule.
    InputError
        When its data make no sense on this line.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> hoistopt.accepted(problem, result.schedule, result.replay) is result.replay
    True
    """
    if seen is None or not _covers(seen, problem, schedule):
        seen = replay(problem, schedule)
    if not seen.clean:
        raise Refused(seen, made_here=made_here)
    return seen


def _covers(seen: Replay, problem: Problem, schedule: Schedule) -> bool:
    """Whether a replay says all there is to say of a schedule on a line."""
    whole = bool(seen.steady_cycles) or not seen.clean
    return whole and seen.schedule == schedule and seen.problem == problem
