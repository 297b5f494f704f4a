"""Two schedules, or two versions of a line, side by side."""

from __future__ import annotations

from dataclasses import dataclass

from ...problem import Problem
from ...schedule import Schedule
from .inputs import Change, changes
from .loads import turned
from .rows import DwellPair, FigurePair, MoveRow, dwell_pairs, figure_pairs, move_rows
from .side import Side, check_units, side_of
from .stages import Stages


@dataclass(frozen=True)
class Comparison:
    """What a change did.

    Attributes
    ----------
    before, after : Side
        Line, schedule, tables and figures of either side.
    changes : list of Change
        Keys of the problem that differ.
    figures : list of FigurePair
        Cycle time, output, loads in process, the hoist's day.
    moves : list of MoveRow
        Every move of the cycle, with its place in the order on both sides.
    dwells : list of DwellPair
        Every dwell with its window on both sides.
    """

    before: Side
    after: Side
    changes: list[Change]
    figures: list[FigurePair]
    moves: list[MoveRow]
    dwells: list[DwellPair]

    @property
    def same_order(self) -> bool:
        """Whether the same moves are made in the same order around the cycle."""
        return not any(row.moved or row.before is None or row.after is None for row in self.moves)

    @property
    def same_tanks(self) -> bool | None:
        """Whether every move that both sides make goes between the same stations.

        None where no move is made on both sides.
        """
        if not any(row.before and row.after for row in self.moves):
            return None
        return not any(row.other_tank for row in self.moves)


def compare_schedules(
    problem_before: Problem,
    schedule_before: Schedule,
    problem_after: Problem,
    schedule_after: Schedule,
) -> Comparison:
    """Compare two schedules on one line, or on two versions of it.

    Stages are paired by their names, loads by the order in which they enter; the second
    cycle is begun at the load that lets most moves keep their order.

    Parameters
    ----------
    problem_before, schedule_before : Problem, Schedule
    problem_after, schedule_after : Problem, Schedule
        Both in the same time unit; the checker must accept each schedule.

    Raises
    ------
    InputError
        When the time units differ, or a schedule makes no sense on its line.
    Refused
        When the checker refuses a schedule.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> same = hoistopt.compare_schedules(problem, result.schedule, problem, result.schedule)
    >>> same.changes, same.same_order
    ([], True)
    """
    check_units(problem_before, problem_after)
    return compare_sides(
        side_of(problem_before, schedule_before), side_of(problem_after, schedule_after)
    )


def compare_sides(before: Side, after: Side) -> Comparison:
    """The same for sides made by :func:`side_of`, in the same time unit."""
    stages = Stages(before.problem, after.problem)
    turns = turned(before, after, stages)
    return Comparison(
        before=before,
        after=after,
        changes=changes(before.problem, after.problem, stages),
        figures=figure_pairs(before, after),
        moves=move_rows(*turns),
        dwells=dwell_pairs(before, after, turns, stages),
    )
