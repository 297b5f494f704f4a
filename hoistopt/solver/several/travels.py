"""How several hoists give way to one another between the moves of a schedule.

Every move demands that other hoists stay clear of it: a hoist to the right may not be left of
a line over time, which rises at top speed before the move and falls again after it. Between
two of its own moves a hoist needs a way between such lines of the hoists on its left, with the
way already chosen for its neighbour there, and those of the hoists on its right. Hoists are
taken from left to right. Each goes straight on to its next move at once, if that is clear, or
as soon as it is; else it stays where it is until a line makes it move, and then goes no
farther than the move that the line belongs to asks for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from fractions import Fraction

from ...instance import Instance, Several
from ...instance.several import Corner
from ...schedule import Schedule, Travel
from ..model.decode import jobs_of
from .asked import Line, Own, line_of, mirrored, shifted
from .gap import Gap, up
from .trip import Stretch


def travels_of(instance: Instance, schedule: Schedule) -> tuple[Travel, ...] | None:
    """The travels with which the hoists of a schedule keep their distance.

    Returns
    -------
    tuple of Travel or None
        Those that do not lead straight on at once; None where no way was found.
    """
    several = instance.several
    assert several is not None
    moves = _moves(instance, schedule, several)
    return from_either_side(several, lambda hoists, own: Ways(hoists, own, schedule.cycle), moves)


Owned = list[list[Own]]
"""For each hoist, from left to right, moves in order of time."""


def from_either_side(
    several: Several, ways: Callable[..., Ways], *owned: Owned
) -> tuple[Travel, ...] | None:
    """Travels found from left to right, or else from right to left.

    The one who is asked first has most to choose from.

    Parameters
    ----------
    ways : callable
        Gives the ways of some hoists, and what is owned by each.
    *owned : list of list of Own
        By hoist.

    Returns
    -------
    tuple of Travel or None
        None where no way was found from either side.
    """
    found = ways(several, *owned).all()
    if found is not None:
        return found
    turned = replace(
        several,
        names=several.names[::-1],
        slowness=several.slowness[::-1],
        getting_up=several.getting_up[::-1],
    )
    mirrored = [[[own.mirrored() for own in each] for each in reversed(one)] for one in owned]
    found = ways(turned, *mirrored).all()
    return None if found is None else tuple(replace(travel, to=-travel.to) for travel in found)


class Ways:
    """The ways of all hoists in a cycle.

    Parameters
    ----------
    several : Several
    moves : list of list of Own
        Of each hoist, in order of time.
    cycle : int
        In ticks.
    """

    exact = False
    """Whether it counts where hoists are in their moves to the instant."""

    def __init__(self, several: Several, moves: list[list[Own]], cycle: int) -> None:
        self.several = several
        self.cycle = Fraction(cycle)
        self.moves = moves
        positions = [x for each in self.moves for own in each for x in (own.here, own.there)]
        self.span = max(positions) - min(positions) + len(several) * several.clearance
        self.left: list[Stretch] = []
        """What the hoist to the left does between its moves, once that is chosen."""

    def all(self) -> tuple[Travel, ...] | None:
        """The travels by which they keep apart; None where no ways were found."""
        found: list[Travel] = []
        for hoist in range(len(self.several)):
            own = self.moves[hoist]
            chosen: list[Stretch] = []
            for place, move in enumerate(own):
                after = own[(place + 1) % len(own)]
                turned = self.cycle if place + 1 == len(own) else Fraction(0)
                gap = Gap(self, hoist, move, after, after.start + turned)
                legs = gap.legs()
                if legs is None:
                    return None
                chosen += gap.way(legs) or ()
                if [start for start, _ in legs] not in ([], [move.end - move.late]):
                    name = self.several.names[hoist]
                    found += [Travel(start % self.cycle, name, to) for start, to in legs]
            self.left = chosen
        return tuple(sorted(found, key=lambda travel: (travel.start, travel.hoist)))

    # -- what other hoists ask for -------------------------------------------------------

    def lows(self, hoist: int, since: Fraction, until: Fraction) -> Iterator[Line]:
        """What a hoist may not be left of, for the moves of those to its left."""
        for left in range(hoist):
            apart = (hoist - left) * self.several.clearance
            for own in self.near(left, since, until):
                corners = shifted(own.path.high, own.start, apart)
                for line in self._lines(left, hoist, corners, since, until):
                    yield self._asked(line, own, apart, 1)

    def highs(self, hoist: int, since: Fraction, until: Fraction) -> Iterator[Line]:
        """What it may not be right of, mirrored."""
        for right in range(hoist + 1, len(self.several)):
            apart = (right - hoist) * self.several.clearance
            for own in self.near(right, since, until):
                corners = mirrored(shifted(own.path.low, own.start, -apart))
                for line in self._lines(hoist, right, corners, since, until):
                    yield self._asked(line, own, -apart, -1)

    def _asked(self, line: Line, own: Own, apart: Fraction, sign: int) -> Line:
        """A line with what the move does to the instant, where that counts."""
        if not self.exact:
            return line
        truly, ends = None, own.farthest
        if ends is not None:
            truly = ends[1] + apart if sign > 0 else -(ends[0] + apart)
        true = own.true(apart, sign)
        return replace(line, true=true, known=own.onward is not None, truly=truly)

    def neighbour(self, since: Fraction, until: Fraction) -> Iterator[Stretch]:
        """What the hoist to the left does between its moves, the clearance added."""
        for stretch in self.left:
            for later in self.repeated(stretch.since, stretch.until, since, until):
                yield stretch.moved(later, self.several.clearance)

    def _lines(
        self, first: int, last: int, corners: tuple[Corner, ...], since: Fraction, until: Fraction
    ) -> Iterator[Line]:
        """A line in every cycle in which it matters between two times."""
        slowness = max(self.several.slowness[first : last + 1])
        reach = self.span * slowness
        begins, ends = corners[0][0], corners[-1][0]
        for later in self.repeated(begins, ends, since - reach, until + reach):
            yield line_of(shifted(corners, later, Fraction(0)), slowness)

    def near(self, hoist: int, since: Fraction, until: Fraction) -> Iterable[Own]:
        """The moves of a hoist that may matter between two times; here all of them."""
        del since, until
        return self.moves[hoist]

    def repeated(
        self, begins: Fraction, ends: Fraction, since: Fraction, until: Fraction
    ) -> Iterator[Fraction]:
        """By how much later something happens, again and again, between two times."""
        turn = -(-(since - ends) // self.cycle)
        while begins + turn * self.cycle <= until:
            yield Fraction(turn * self.cycle)
            turn += 1


def _moves(instance: Instance, schedule: Schedule, several: Several) -> list[list[Own]]:
    """The moves of each hoist in order of time."""
    jobs = jobs_of(instance, schedule)
    found: list[list[Own]] = [[] for _ in several.names]
    moves = {(move.job, move.stage): move for move in instance.moves}
    for step in schedule:
        move = moves[jobs[step.load], step.stage or 0]
        for route in move.routes:
            names = instance.places[route.source].name, instance.places[route.target].name
            if names == (step.source, step.target) and several.names[route.hoist] == step.hoist:
                assert route.path is not None
                # It goes on when it is free, which is before the end as planned in whole ticks.
                start = Fraction(step.start)
                end = start + route.work
                late = up(end + route.pad) - end if route.pad else Fraction(0)
                path = route.path.late_by(route.pad)
                found[route.hoist].append(Own(path, start, end + late, late))
    return found
