"""Replay moves on a line: what rules they break, or that they break none."""

from __future__ import annotations

from ..base.errors import InputError
from ..show.schedule.answer import VerifiedAnswer
from .given import Line, Moves, replayed


def verify(line: Line, moves: Moves, cycles: int | None = None) -> VerifiedAnswer:
    """Replay a table of moves.

    Its answer draws the time-way diagram as well.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path
    cycles : int, optional
        Cycles in which loads enter; by default until the line repeats itself.

    Raises
    ------
    InputError
        When a file cannot be used, or so few cycles show nothing.
    Refused
        When the moves break a rule; it carries every violation.
    """
    seen = replayed(line, moves, cycles)
    if not seen.steady_cycles:
        raise InputError(
            "more cycles: the line has not begun to repeat itself",
            field="cycles",
            value=cycles,
            way_out="Give a larger number, or leave it out.",
        )
    return VerifiedAnswer(seen)
