"""A table of rounded times judged: whether times near those it states break no rule."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..checker import Replay, replay
from ..graph.within import nearest


@dataclass(frozen=True)
class Forgiven:
    """Times near those of a table that the checker accepts.

    Attributes
    ----------
    replay : Replay
        What the checker saw of them.
    moved : Fraction
        The most by which a start or the cycle time differs from the table, in the problem's
        unit; no smaller difference would do.
    """

    replay: Replay
    moved: Fraction


def forgiven(seen: Replay, tolerance: Fraction) -> Forgiven | None:
    """Look for times within a tolerance of those of a table that break no rule.

    Parameters
    ----------
    seen : Replay
        What the checker saw of the table as stated, on a line with one hoist.
    tolerance : Fraction
        By how much each start, and the cycle time, may differ, in the problem's unit. The
        order of the moves is kept.

    Returns
    -------
    Forgiven or None
        None where there are none.

    Raises
    ------
    InputError
        When the line has several hoists.
    """
    seen.problem.check_one_hoist()
    near = nearest(seen.plan, seen.schedule, tolerance)
    if near is None:
        return None
    kept = replay(seen.problem, near.schedule)
    return Forgiven(kept, near.moved) if kept.clean and kept.steady_cycles else None
