"""How much neighbouring hoists leave one another, in distance and in time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from .courses import approaches_once
from .grid.clock import Clock
from .hoists.distance import nearest_neighbours, shortfall
from .hoists.separations import Lags, Separation, mirrored, separations
from .hoists.ways import Doing, all_doings
from .programme.record import ProgrammeReplay
from .programme.ways_once import ways_of
from .record import Replay


@dataclass(frozen=True)
class Neighbours:
    """What two neighbours leave one another, in the problem's units, exactly.

    Attributes
    ----------
    left, right : str
        Their names, in track order.
    distance : Fraction
        The least of their middles, in a cycle or a programme.
    spare : Fraction
        What of it is beyond the clearance.
    time, here, there : Fraction
        When it is least, counted from the start of the cycle or the beginning of the
        programme, and where both are then.
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


def neighbours_once(seen: ProgrammeReplay) -> list[Neighbours]:
    """What every two neighbours leave one another in a programme, where it is told where they are.

    Parameters
    ----------
    seen : ProgrammeReplay
        A clean one.
    """
    problem, table = seen.problem, seen.course.table
    if problem.track is None or len(problem.hoists) == 1:
        return []
    clearance, clock = Fraction(problem.track.clearance), table.clock
    ways, found = ways_of(seen.course), []
    for nearest in approaches_once(seen):
        left, right = ways[nearest.left], ways[nearest.left + 1]
        assert left is not None and right is not None
        needed = clearance - shortfall(table, len(left.doings) + 1)
        # What a hoist is told to do where it stands already keeps nobody from anything.
        goes = [[doing for doing in way.doings if doing.pieces] for way in (left, right)]
        late = _late(clock, needed, *goes)
        found.append(
            Neighbours(
                left=problem.hoists[left.hoist].name or "",
                right=problem.hoists[right.hoist].name or "",
                distance=nearest.distance,
                spare=max(Fraction(0), nearest.distance - clearance),
                time=nearest.time,
                here=nearest.here,
                there=nearest.there,
                left_late=late[0],
                right_late=late[1],
            )
        )
    return found


def _late(
    clock: Clock, needed: Fraction, ones: Sequence[Doing], others: Sequence[Doing]
) -> tuple[Fraction | None, Fraction | None]:
    """By how much the left one, and the right one, may be late."""
    lags = Lags(clock, needed)
    least: list[int | None] = [None, None]

    def take(which: int, slack: int) -> None:
        known = least[which]
        least[which] = slack if known is None else min(known, slack)

    for one in ones:
        for other in others:
            apart = other.since - one.since
            # What one does is never in the way for longer than it lasts.
            before, after = apart - (one.until - one.since), -apart - (other.until - other.since)
            far = (least[0] is not None and before >= least[0]) or (
                least[1] is not None and after >= least[1]
            )
            if far or (sooner := lags.of(one, other)) is None:
                continue
            later = lags.of(mirrored(other), mirrored(one))
            assert later is not None
            # Which of the two comes first is that of which it is less too soon.
            first = apart - sooner >= -apart - later
            take(0 if first else 1, apart - sooner if first else -apart - later)
    left, right = (None if one is None else clock.fraction(max(0, one)) for one in least)
    return left, right
