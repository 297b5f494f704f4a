"""How late each move of a schedule may start."""

from __future__ import annotations

from ..margin.slack import slack_limits
from ..show.slack import SlackAnswer
from .given import Line, Moves, replayed


def slack(line: Line, moves: Moves) -> SlackAnswer:
    """The alarm limits of a table of moves.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path

    Raises
    ------
    InputError
        When a file cannot be used.
    Refused
        When the moves break a rule.
    """
    seen = replayed(line, moves, several=True)
    return SlackAnswer(slack_limits(seen.problem, seen.schedule, seen))
