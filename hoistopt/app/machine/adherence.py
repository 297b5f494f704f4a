"""A log against the schedule or programme that the machine was to make."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

from ...base.errors import InputError, naming_file
from ...base.numbers.duration import Duration, time_in_unit
from ...checker import accepted_programme
from ...plant.adherence.judge import adherence as judged
from ...plant.adherence.planned import Planned, planned_cycle, planned_once
from ...plant.events import read_log
from ...plant.mapping import read_mapping
from ...plant.moves import logged_moves
from ...problem import Problem
from ...schedule import LineState, Programme
from ...schedule.files import MovesFile, holds_programme, read_programme
from ...schedule.state_files import read_state
from ...show.adherence.answer import AdherenceAnswer
from ..given import Line, Moves, naming, problem_of, replayed
from .fit import Words, said_of


def adherence(
    line: Line,
    moves: Moves | Programme,
    logs: Sequence[str | Path],
    words: Words | None = None,
    *,
    state: LineState | str | Path | None = None,
    tolerance: Decimal | Duration | float | str | None = None,
) -> AdherenceAnswer:
    """Tell where the moves of a log deviate from planned ones, and what that costs.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, Programme, str or Path
        What was planned; the checker accepts it.
    logs : sequence of str or Path
        Files of an event log.
    words : callable, optional
        What the words of the log mean; by default the problem's own.
    state : LineState, str or Path, optional
        With which a programme begins; by default the line is empty.
    tolerance : number or str, optional
        How much a start may lose before it counts as late: in the problem's unit, or in words.

    Raises
    ------
    InputError
        When a file or a word cannot be used, or the log is not one of this plan.
    Refused, ProgrammeRefused
        When the moves break a rule.
    """
    problem = problem_of(line, several=True)
    try:
        late = None if tolerance is None else float(time_in_unit(tolerance, problem.unit))
    except ValueError as error:
        raise InputError(str(error), field="late", value=tolerance) from None
    planned = _planned(line, problem, moves, state)
    log = read_log(logs, read_mapping(problem) if words is None else words(problem))
    with naming_file(str(logs[0])):
        found = judged(
            logged_moves(log, problem),
            problem,
            planned,
            tolerance=late,
            notes=tuple(said_of(log)),
        )
    return AdherenceAnswer(found, log.zone)


def _planned(
    line: Line,
    problem: Problem,
    moves: Moves | Programme,
    state: LineState | str | Path | None,
) -> Planned:
    path = moves.path if isinstance(moves, MovesFile) else moves
    once = isinstance(path, Programme) or (isinstance(path, str | Path) and holds_programme(path))
    if not once and state is None:
        return planned_cycle(replayed(line, moves, several=True))  # type: ignore[arg-type]
    begins = read_state(state, problem) if isinstance(state, str | Path) else state
    made = path if isinstance(path, Programme) else read_programme(path, problem)  # type: ignore[arg-type]
    with naming(path):
        return planned_once(accepted_programme(problem, made, begins))
