"""Which motions of hoists on one track go before which others, as their ways come too near.

Not every such pair has to be watched: :mod:`.releases` has the argument which of them do.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from ...checker.hoists.ways import OnTable
from ...checker.plan import Plan
from .motions import Motion
from .passing import Choices

Which = tuple[int, int]
"""Hoist in track order and motion in order of leaving, both from 0."""
Pair = tuple[Which, Which]
"""Two motions of different hoists, the one that goes first first."""
Timing = TypeVar("Timing")
Sequenced = Sequence[Sequence[Motion]]
"""The motions of each hoist, in track order and in order of leaving."""


@dataclass(frozen=True)
class Ordered:
    """Two motions too near one another: the first goes so many cycles before the second."""

    first: Which
    second: Which
    cycles: int
    choices: Choices


def pairs_too_near(
    motions: Sequenced, clearance: Fraction
) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """Hoist and number of every two motions whose ways come nearer than hoists may.

    The first of the two is that of the hoist further left. Hoists with others between them
    need the clearance for each.
    """
    return [
        ((left, number), (right, other))
        for left in range(len(motions))
        for right in range(left + 1, len(motions))
        for number, one in enumerate(motions[left])
        for other, two in enumerate(motions[right])
        if two.low - one.high < (right - left) * clearance
    ]


def in_order(
    motions: Sequenced, clearance: Fraction, cycle: int
) -> list[tuple[tuple[int, int], tuple[int, int], int]]:
    """All that must be before something: hoist and number of both, and cycles between them.

    Parameters
    ----------
    motions : sequence of sequence of Motion
        Of a schedule in which no two hoists are ever too close.
    clearance : Fraction
    cycle : int
        In grid time.

    Returns
    -------
    list of (motion, motion, int)
        The first must arrive so many cycles before the second leaves.
    """
    found = []
    for first, second in pairs_too_near(motions, clearance):
        one, two = motions[first[0]][first[1]], motions[second[0]][second[1]]
        if (one.there > one.here) != (two.there > two.here):
            continue  # what leads away from each other, or towards, follows from others
        # When each is where it is nearest to the other one's way.
        right_most = one.arrives if one.there >= one.here else one.leaves
        left_most = two.arrives if two.there <= two.here else two.leaves
        # The least number of cycles by which the second is after the first.
        later = (right_most - left_most) // cycle + 1
        if one.there < one.here:
            found.append((first, second, later))
        else:
            found.append((second, first, 1 - later))
    return found


def in_order_of(plan: Plan, motions: Sequenced) -> list[Ordered]:
    """Pairs of motions of a plan of which one goes first, with the ways to keep the two apart."""
    return ordered_on(plan.table, motions, plan.table.cycle)


def ordered_on(table: OnTable, motions: Sequenced, cycle: int) -> list[Ordered]:
    """As :func:`in_order_of`, for motions on any table that repeat every `cycle` of grid time."""
    track = table.problem.track
    clearance = Fraction(0) if track is None else Fraction(track.clearance)
    found = []
    known: dict[tuple[Hashable, Hashable], Choices] = {}
    for first, second, cycles in in_order(motions, clearance, cycle):
        one, two = motions[first[0]][first[1]], motions[second[0]][second[1]]
        needed = abs(first[0] - second[0]) * clearance
        key = one.shape, two.shape  # in a programme the same ways are gone many times
        if key not in known:
            known[key] = Choices(table, one, two, needed)
        found.append(Ordered(first, second, cycles, known[key]))
    return found


def eased(timed: Callable[[Mapping[Pair, int]], tuple[Timing, Iterable[Ordered]]]) -> Timing:
    """Times of motions that are kept apart as safely as can be.

    One after another, waits that stand against any times are eased to the next way of keeping
    the two apart; that which gives most first.

    Parameters
    ----------
    timed : callable
        From two motions to how many of the safest ways of keeping them apart are not taken:
        the times then, and the pairs that stand against better ones; none where all is well.

    Returns
    -------
    Timing
        Times that nothing stands against, or where no wait is left that can be eased.
    """
    skipped: dict[Pair, int] = {}
    while True:
        found, against = timed(skipped)
        gains: dict[Pair, int] = {}
        for pair in against:
            key = pair.first, pair.second
            left = pair.choices[skipped.get(key, 0) :]
            if len(left) > 1:
                gains[key] = left[0].length - left[1].length
        if not gains:
            return found
        chosen = max(gains, key=lambda key: gains[key])
        skipped[chosen] = skipped.get(chosen, 0) + 1


def from_rest(motions: Sequenced, ordered: Sequence[Ordered], cycle: int) -> list[list[Motion]]:
    """The motions of each hoist in the cycle that it makes first, when all begin from rest.

    A hoist that goes on its way before another has left for it could not have made that motion
    before the start: then its cycle begins with it.
    """
    counts = [len(made) for made in motions]
    begins = [0] * len(motions)
    changed = True
    while changed:
        changed = False
        for pair in ordered:
            (hoist, number), (other, then) = pair.first, pair.second
            # The first one of a cycle that is not made before the start, and what follows it.
            turn = -((number - begins[hoist]) // counts[hoist])
            after = then + (turn + pair.cycles) * counts[other]
            if after < begins[other]:
                begins[other] = after
                changed = True
    found = []
    for made, first in zip(motions, begins, strict=True):
        turned = []
        for number in range(first, first + len(made)):
            turn, place = divmod(number, len(made))
            turned.append(made[place].moved(turn * cycle))
        found.append(turned)
    return found
