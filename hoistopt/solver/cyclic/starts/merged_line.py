"""A start where several tanks serve one stage: the line with these merged, and as many loads.

With no tanks to choose from, CP-SAT finds cycles there that are no copies of shorter ones, often
the least, long before it does in the line itself. Where a search of it brings nothing shorter,
others have a turn before the next, longer one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress

from ....base.clock import Clock, OutOfTime
from ....instance import Instance
from ....schedule import Schedule
from ...model.build import lowest_cycle
from ..incumbent import Incumbent
from ..whole import HARDLY_PROVABLE, search_whole_model
from .groups import REACHES, Group, merged, retimed, unrolled

FIRST_WORK, LONGER_WORK = 0.2, 2.0
"""CP-SAT's work, in its own measure (about a second), the first time; and how many times as much
there is each next time."""

SHARE, SECONDS, SECONDS_OF_MANY = 0.45, 4.0, 12.0
"""Of the time that is left, the most for all this, and the most seconds; the last number of them
above :data:`..whole.HARDLY_PROVABLE` moves."""

RETIMED, WORTH = 1 / 3, 1.02
"""Of the time that is left, the most for giving a cycle times; in which moves change places only
for the sake of a cycle so many times as short as the best schedule."""


def search_merged_line(
    instance: Instance,
    groups: Sequence[Group],
    known: Iterable[Schedule],
    incumbent: Incumbent,
    clock: Clock,
    between: Callable[[], object],
) -> list[Schedule]:
    """Keep cycles of the merged line with as many loads, unrolled, where they are the best.

    Parameters
    ----------
    known : iterable of Schedule
        Cycles of the merged line with as many loads, to begin from.
    incumbent : Incumbent
        Improved in place.
    between : callable
        Called after each search that made the best schedule no shorter, so that the time is not
        all spent here where this does not pay.

    Returns
    -------
    list of Schedule
        The cycles of the merged line that were found and could be given times.
    """
    many = len(instance.moves) > HARDLY_PROVABLE
    part = clock.share(SHARE).part(SECONDS_OF_MANY if many else SECONDS)
    line, found = merged(instance, groups, careful=False), []
    best, work = Incumbent(max(1, line.shortest)), FIRST_WORK
    with suppress(OutOfTime):
        best.begin(lowest_cycle(line, part))
        for each in known:
            best.keep(each, [])
        while not (best.closed or part.over):
            before, shortest = best.schedule, incumbent.best
            status = search_whole_model(line, best, part, work, plainly=True)
            cycle = best.schedule
            if cycle is not None and cycle is not before:
                whole = unrolled(instance, groups, cycle, 1)
                worth = shortest is None or WORTH * cycle.cycle <= shortest
                timed = retimed(instance, whole, clock.share(RETIMED), REACHES if worth else (0,))
                if timed is not None:
                    incumbent.keep(timed, [])
                    found.append(cycle)
            if status in ("optimal", "infeasible"):
                break
            if incumbent.best == shortest:
                between()
            work *= LONGER_WORK
    return found
