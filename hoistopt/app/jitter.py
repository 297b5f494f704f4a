"""A schedule under scattered times of the hoist."""

from __future__ import annotations

from collections.abc import Sequence

from ..base.effort import Effort
from ..margin.jitter.run import jitter as run_jitter
from ..problem.scatter import Scatter
from ..show.jitter.answer import JitterAnswer
from .given import Line, Moves, replayed


def jitter(
    line: Line,
    moves: Moves,
    scatters: Sequence[Scatter | str] | None = None,
    runs: int = 100,
    cycles: int = 100,
    warm_up: int = 10,
    effort: Effort | None = None,
) -> JitterAnswer:
    """Run a table of moves with times that scatter, and count loads over max. dwell.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path
    scatters : sequence of Scatter or str, optional
        What scatters and how; else as the problem says, or as is assumed.
    runs, cycles, warm_up : int
        Runs, cycles counted in each, and cycles before them that are not counted.
    effort : Effort, optional
        Its seed: same seed, same draws. What ends it leaves fewer cycles.

    Raises
    ------
    InputError
        When a file, a scatter or a number cannot be used.
    Refused
        When the moves break a rule.
    StoppedError
        When too few cycles were run to tell anything.
    """
    seen = replayed(line, moves, several=True)
    found = run_jitter(
        seen.problem, seen.schedule, scatters, runs, cycles, warm_up, effort=effort, seen=seen
    )
    return JitterAnswer(found)
