"""One of the two things compared: a line, a schedule on it, and what the checker saw."""

from __future__ import annotations

from dataclasses import dataclass

from ...base.errors import InputError
from ...checker import Replay, accepted
from ...problem import Problem
from ...schedule import Schedule
from ..figures import Report, report


@dataclass(frozen=True)
class Side:
    """A schedule with its tables and figures.

    Attributes
    ----------
    problem : Problem
    schedule : Schedule
    report : Report
        From the checker's replay.
    status : str
        ``optimal`` or ``feasible`` where it was solved, ``verified`` where it was given.
    """

    problem: Problem
    schedule: Schedule
    report: Report
    status: str


def side_of(
    problem: Problem, schedule: Schedule, status: str = "verified", seen: Replay | None = None
) -> Side:
    """Gather the tables of a schedule from its replay, made here unless given.

    Raises
    ------
    Refused
        When the checker refuses the schedule.
    InputError
        When its data make no sense on this line.
    """
    seen = accepted(problem, schedule, seen)
    return Side(problem, schedule, report(problem, schedule, seen, status), status)


def check_units(before: Problem, after: Problem) -> None:
    """Refuse to compare times in different units.

    Raises
    ------
    InputError
    """
    if before.unit != after.unit:
        raise InputError(
            f'times in "{before.unit}", as in the problem compared with',
            field="unit",
            value=after.unit,
            way_out="Convert one of the two problem files.",
        )
