"""How much neighbouring hoists leave one another, in distance and in time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from .distance import nearest_neighbours
from .record import Replay
from .separations import Separation, separations
from .ways import all_doings


@dataclass(frozen=True)
class Neighbours:
    """What two neighbours leave one another, in the problem's units, exactly.

    Attributes
    ----------
    left, right : str
        Their names, in track order.
    distance : Fraction
        The least of their middles in a cycle.
    spare : Fraction
        What of it is beyond the clearance.
    time, here, there : Fraction
        When it is least, counted from the start of the cycle, and where both are then.
    left_late, right_late : Fraction or None
        By how much all that the one does may be late, at times or always, with the other on
        time, before they are closer than the clearance. What is in its way is not counted if
        it is a load that is not there, or any other rule. None: by any time.
    """

    left: str
    right: str
    distance: Fraction
    spare: Fraction
    time: Fraction
    here: Fraction
    there: Fraction
    left_late: Fraction | None
    right_late: Fraction | None


def neighbours(replay: Replay) -> list[Neighbours]:
    """What every two neighbours that both make moves leave one another, in track order.

    Parameters
    ----------
    replay : Replay
        A clean one.
    """
    plan, problem = replay.plan, replay.problem
    if problem.track is None or len(problem.hoists) == 1:
        return []
    does = all_doings(plan.table, plan.parts)
    waits = list(separations(plan, does))
    found: list[Neighbours] = []
    for nearest in nearest_neighbours(plan, does):
        left, right = nearest.left, nearest.left + 1

        def late(first: int, second: int, waits: Iterable[Separation] = waits) -> Fraction | None:
            slacks = [
                wait.slack(does, plan.table.cycle)
                for wait in waits
                if (wait.before[0], wait.after[0]) == (first, second)
            ]
            return max(Fraction(0), plan.table.clock.fraction(min(slacks))) if slacks else None

        found.append(
            Neighbours(
                left=problem.hoists[left].name or "",
                right=problem.hoists[right].name or "",
                distance=nearest.distance,
                spare=max(Fraction(0), nearest.distance - Fraction(problem.track.clearance)),
                time=nearest.time % replay.cycle_time,
                here=nearest.here,
                there=nearest.there,
                left_late=late(left, right),
                right_late=late(right, left),
            )
        )
    return found
