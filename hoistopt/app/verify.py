"""Replay moves on a line: what rules they break, or that they break none."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from ..base.errors import InputError, naming_file
from ..base.numbers.decimals import told
from ..base.numbers.duration import Duration, given_time
from ..base.text import read_text
from ..checker import ProgrammeRefused, Refused, accepted_programme
from ..problem import Problem
from ..schedule import LineState, Programme
from ..schedule.files import MovesFile, holds_programme, read_programme
from ..schedule.state_files import read_state
from ..show.programme.answer import VerifiedProgramme
from ..show.schedule.answer import VerifiedAnswer
from ..show.schedule.within import WithinAnswer
from .given import Line, Moves, naming, problem_of, replayed, sequencer_form, told_of


def verify(
    line: Line,
    moves: Moves,
    cycles: int | None = None,
    tolerance: Decimal | Duration | None = None,
) -> VerifiedAnswer:
    """Replay a table of moves.

    Its answer draws the time-way diagram as well.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path
    cycles : int, optional
        Cycles in which loads enter; by default until the line repeats itself.
    tolerance : Decimal or Duration, optional
        Accept a table that breaks rules too, if its order of moves keeps them all at times
        each within so much of those stated, starts and cycle time. The answer holds those
        times, and every rule that the table breaks as stated.

    Raises
    ------
    InputError
        When a file cannot be used, or so few cycles show nothing.
    Refused
        When the moves break a rule; it carries every violation.
    """
    problem = problem_of(line, several=True)
    if tolerance is not None and len(problem.hoists) > 1:
        raise InputError(
            "a line with one hoist: how several give way to one another has times of its own",
            field="tolerance",
            value=tolerance,
        )
    said = tuple(told_of(moves, problem))
    try:
        seen = replayed(problem, moves, cycles, several=True)
    except Refused as refused:
        _note(refused, said)
        if tolerance is None:
            raise
        return _within(refused, tolerance, said)
    if not seen.steady_cycles:
        raise InputError(
            "more cycles: the line has not begun to repeat itself",
            field="cycles",
            value=cycles,
            way_out="Give a larger number, or leave it out.",
        )
    return VerifiedAnswer(seen, said=said)


def _within(
    refused: Refused, tolerance: Decimal | Duration, said: tuple[str, ...]
) -> VerifiedAnswer:
    """The answer about times near those of a table that breaks rules."""
    from ..analysis.tolerance import forgiven

    seen = refused.replay
    allowed = Fraction(given_time(tolerance, seen.problem.unit, "tolerance"))
    near = forgiven(seen, allowed)
    if near is None:
        refused.add_note(
            f"No times within {told(allowed)} {seen.problem.unit} of those stated break no rule, "
            "its moves in the same order."
        )
        raise refused
    return WithinAnswer(near.replay, stated=seen, tolerance=allowed, moved=near.moved, said=said)


def verify_programme(
    line: Line,
    programme: Programme | str | Path | MovesFile,
    state: LineState | str | Path | None = None,
    lost: Iterable[int] = (),
) -> VerifiedProgramme:
    """Replay a programme from a state of the line.

    Parameters
    ----------
    line : Problem, str or Path
    programme : Programme, str or Path
    state : LineState, str or Path, optional
        By default the line is empty.
    lost : iterable of int
        Loads of the state that may stand longer than their maxima.

    Raises
    ------
    InputError
        When a file cannot be used, or a load named as lost is not in the state.
    ProgrammeRefused
        When the moves break a rule; it carries every violation.
    """
    problem = problem_of(line, several=True)
    begins = read_state(state, problem) if isinstance(state, str | Path) else state
    made, said = _programme(programme, problem, begins)
    with naming(programme):
        try:
            return VerifiedProgramme(accepted_programme(problem, made, begins, lost=lost), said)
        except ProgrammeRefused as refused:
            _note(refused, said)
            raise


def _programme(
    given: Programme | str | Path | MovesFile, problem: Problem, state: LineState | None
) -> tuple[Programme, tuple[str, ...]]:
    """A programme, also from a sequencer's own file, and what has to be said of that."""
    if isinstance(given, Programme):
        return given, ()
    form = sequencer_form(given.path if isinstance(given, MovesFile) else given)
    if form is None:
        return read_programme(given, problem), ()
    from ..exports.readback.given import programme_from, table_given
    from ..exports.readback.several_given import lists_given

    path = Path(given)
    with naming_file(path):
        if len(problem.hoists) > 1:
            lists, of_them = lists_given(read_text(path), form, problem, state)
            return lists, tuple(of_them)
        table, said = table_given(read_text(path), form)
        return programme_from(table, problem, state), tuple(said)


def _note(refused: Refused | ProgrammeRefused, said: Iterable[str]) -> None:
    for sentence in said:
        refused.add_note(sentence)


def is_programme(moves: str | Path) -> bool:
    """Whether a file of moves says that it is a programme, which runs once.

    So does a sequencer's file with a list run once.
    """
    form = sequencer_form(moves)
    if form is None:
        return holds_programme(moves)
    from ..exports.readback.given import table_given
    from ..exports.readback.several_given import has_lists, is_several

    text = read_text(Path(moves))
    if is_several(text):
        return has_lists(text)
    with naming_file(Path(moves)):
        return bool(table_given(text, form)[0].once)
