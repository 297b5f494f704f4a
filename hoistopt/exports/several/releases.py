"""Release signals: which motion of one hoist waits for which of another.

Take two motions of different hoists whose ways come nearer than the clearance at any two
points. Hoists that keep their distance at all times make the one before the other: the instants
at which each is where the two would be too close are in the same order for all such points, as
both ways lead in one direction.

Only some of these pairs have to be watched: those in which the first leads away from the other
hoist and the second leads towards where it was, so both in the same direction. If the first
leads towards the other hoist, then it ends where it is nearest to it; the next motion of its
hoist begins there, so it is before the second as well and leads away, or leads on to one that
does. If the second leads away, it begins where it is nearest; the motion before ended there, so
it is after the first as well, and leads towards it, or comes after one that does.

Of such a pair the first must have *arrived* before the second *leaves*, or before it goes on from
a place short of the first one's way (see :mod:`.passing`). That keeps hoists apart whatever is
late: none comes near a way, or a rest, of another before that hoist has gone from there, and
goes there again only after this one has gone in its turn, by the same rule.

Where a schedule has a hoist *follow* another, and leaves no time to wait until that one has
arrived, the signal is that the other has left, so long ago that the two keep their distance
unless the one in front stops on its way. If it does, the distance control of the machine has to
stop the one that follows.

Nor can all hoists wait for one another: the schedule itself makes every motion after all it
waits for, so along a ring of such waits its times would grow, and the ring must lead into a
later cycle.

Motions of a hoist follow one another, so of all that must have arrived before a motion leaves
only the last of each hoist counts; and what follows from other waits is left out (the transitive
reduction).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ...checker.plan import Plan
from .motions import Motion
from .ordered import Ordered, Sequenced, Which, in_order_of
from .passing import Choice


@dataclass(frozen=True)
class Before:
    """A motion of another hoist that must have arrived, or left, before a motion goes on.

    Attributes
    ----------
    hoist, motion : int
        From 0.
    cycles : int
        How many cycles before that of the motion which waits; at least 0.
    stop : Fraction or None
        Position up to which the motion which waits may go until then; None: it may not leave.
    left : int or None
        None: the other must have arrived. Else the motion which waits follows it, and it must
        have left so long ago, in grid time.
    """

    hoist: int
    motion: int
    cycles: int
    stop: Fraction | None = None
    left: int | None = None


def releases(plan: Plan, motions: Sequenced) -> dict[Which, tuple[Before, ...]]:
    """What each motion of a cycle waits for, without what follows from other waits.

    Parameters
    ----------
    plan : Plan
    motions : sequence of sequence of Motion
        Its motions.

    Raises
    ------
    ValueError
        When a motion leaves before another in a way that cannot be kept apart.
    """
    ordered = in_order_of(plan, motions)
    return releases_of(motions, ordered, plan.table.cycle, plan.table.clock.tolerance)


def releases_of(
    motions: Sequenced, ordered: Sequence[Ordered], cycle: int, tolerance: int
) -> dict[Which, tuple[Before, ...]]:
    """What each motion waits for, as :func:`releases`, from motions and their order as given.

    Parameters
    ----------
    motions : sequence of sequence of Motion
    ordered : sequence of Ordered
        Which motions go before which others.
    cycle, tolerance : int
        After how much grid time all is repeated, and what times may be wrong by.

    Raises
    ------
    ValueError
        As :func:`releases`.
    """
    counts = [len(made) for made in motions]
    last: dict[Which, dict[int, int]] = {}
    stops: dict[tuple[Which, int], list[Fraction | None]] = {}
    on_way: dict[Which, list[tuple[int, int, Choice]]] = {}
    for pair in ordered:
        one, two = motions[pair.first[0]][pair.first[1]], motions[pair.second[0]][pair.second[1]]
        since = two.leaves + pair.cycles * cycle - one.leaves
        kept = next((c for c in pair.choices if since >= c.length - tolerance), None)
        if kept is None:
            raise ValueError("a motion leaves too soon before, or after, another")
        # Numbered on from cycle to cycle; negative in the cycles before.
        number = pair.first[1] - pair.cycles * counts[pair.first[0]]
        if kept.stop is None and kept.left is None:
            known = last.setdefault(pair.second, {})
            known[pair.first[0]] = max(number, known.get(pair.first[0], number))
            stops.setdefault((pair.second, pair.first[0]), []).append(pair.choices.stop)
        else:
            on_way.setdefault(pair.second, []).append((pair.first[0], number, kept))
    surely = _surely(counts, last)
    found: dict[Which, list[Before]] = {}
    for motion, waits in last.items():
        for hoist, number in waits.items():
            others = [other for other in _before(motion, waits) if other != (hoist, number)]
            known_by = (_of(surely, counts, other).get(hoist) for other in others)
            if any(one is not None and one >= number for one in known_by):
                continue
            way = motions[motion[0]][motion[1]]
            if not _held_by(way, stops[motion, hoist], hoist, number, on_way.get(motion, ())):
                found.setdefault(motion, []).append(_named(counts, hoist, number))
    for motion, passing in on_way.items():
        for hoist, number, kept in passing:
            if surely[motion].get(hoist, number - 1) < number:
                named = _named(counts, hoist, number)
                found.setdefault(motion, []).append(replace(named, stop=kept.stop, left=kept.left))
    return {motion: tuple(sorted(each, key=_place)) for motion, each in found.items()}


def _held_by(
    way: Motion,
    stops: Sequence[Fraction | None],
    hoist: int,
    number: int,
    passing: Sequence[tuple[int, int, Choice]],
) -> bool:
    """Whether a later motion of a hoist is waited for no farther on than an earlier one would be.

    Parameters
    ----------
    way : Motion
        Which waits.
    stops : sequence of Fraction or None
        How far it may go while motions of the hoist up to number `number` have not arrived.
    passing : sequence
        What it waits for on its way.
    """
    side = 1 if way.there > way.here else -1
    for other, later, kept in passing:
        if other != hoist or later <= number:
            continue
        if kept.stop is None:
            return True
        if all(stop is not None and (stop - kept.stop) * side >= 0 for stop in stops):
            return True
    return False


def _named(counts: Sequence[int], hoist: int, number: int) -> Before:
    return Before(hoist, number % counts[hoist], -(number // counts[hoist]))


def _place(before: Before) -> tuple[int, int, int]:
    return before.hoist, -before.cycles, before.motion


def _before(motion: tuple[int, int], waits: dict[int, int]) -> list[tuple[int, int]]:
    """Hoist and number of what comes straight before a motion: its own hoist's, and its waits."""
    return [(motion[0], motion[1] - 1), *waits.items()]


def _of(
    surely: dict[tuple[int, int], dict[int, int]], counts: Sequence[int], motion: tuple[int, int]
) -> dict[int, int]:
    """What has surely arrived before a motion of any cycle leaves, by hoist."""
    hoist, number = motion
    turns = number // counts[hoist]
    known = surely[hoist, number % counts[hoist]]
    return {other: last + turns * counts[other] for other, last in known.items()}


def _surely(
    counts: Sequence[int], last: dict[tuple[int, int], dict[int, int]]
) -> dict[tuple[int, int], dict[int, int]]:
    """By motion: the last motion of every hoist that has arrived before it leaves, in any case.

    Worked out from what comes straight before, over and over until nothing is added. Each round
    adds what is one wait further away, so it ends once no way leads on to anything later.
    """
    motions = [(hoist, number) for hoist, count in enumerate(counts) for number in range(count)]
    surely: dict[tuple[int, int], dict[int, int]] = {motion: {} for motion in motions}
    changed = True
    while changed:
        changed = False
        for motion in motions:
            known = surely[motion]
            for hoist, number in _before(motion, last.get(motion, {})):
                reached = {**_of(surely, counts, (hoist, number))}
                reached[hoist] = max(number, reached.get(hoist, number))
                for other, latest in reached.items():
                    if latest > known.get(other, latest - 1):
                        known[other] = latest
                        changed = True
    return surely
