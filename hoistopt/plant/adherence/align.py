"""Which planned move each logged one is: an alignment of two orders.

The best chain of matches, by dynamic programming over the moves of the log (Needleman and
Wunsch 1970, J. Molecular Biology 48, 443-453). A logged move that is none of the plan's costs
one; so does a gap in the plan, however many moves were not made in a row, unless there was
nothing to lift for any of them: a line that fills or runs out leaves out most of a cycle. Of
chains of equal cost the one with the fewest moves not made is taken. The order of a cycle runs
on through its cycles, and where the chain begins and ends in the plan costs nothing. From one
match to the next no more than half a cycle is made good: a machine may stand, but it cannot
jump ahead.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, field
from itertools import pairwise

from .occupancy import Occupancy

Ends = tuple[str, str]
"""Source and target of a move."""
WINDOW = 12
"""A match goes on from one of the last so many logged moves, or from the best of all before."""
AHEAD = 0.5
"""Part of a cycle that may be made good from one match to the next."""
_GAP = 1_000_000
_ADDED = _GAP + 1_000
_MOST = 999


class Order:
    """The planned order of one hoist, and what lies between two places of it.

    Parameters
    ----------
    planned : sequence of (str, str)
        Source and target of the planned moves, of one cycle or of a programme.
    starts : sequence of float
        When each is to start.
    cycle : float or None
        The cycle time; None of a programme.
    """

    def __init__(
        self, planned: Sequence[Ends], starts: Sequence[float], cycle: float | None
    ) -> None:
        self.planned = planned
        self.where: dict[Ends, list[int]] = {}
        for place, what in enumerate(planned):
            self.where.setdefault(what, []).append(place)
        self.around = len(planned)
        self.starts = starts
        self.cycle = cycle

    def skipped(self, before: int, after: int) -> int:
        """Planned moves between two places; below 0 where the second cannot come after."""
        between = after - before - 1
        if between >= 0 or self.cycle is None:
            return between
        return between + self.around

    def time(self, before: int, after: int) -> float:
        """Planned time between the starts at two places."""
        time = self.starts[after] - self.starts[before]
        return time + self.cycle if after <= before and self.cycle is not None else time

    def gap(self, before: int, skipped: int, empty: Set[str]) -> int:
        """What it costs that so many moves after a place were not made."""
        left = 0
        for place in range(before + 1, before + 1 + skipped):
            left += self.planned[place % self.around][0] not in empty
        return _GAP + min(left, _MOST) if left else 0


def align(
    made: Sequence[Ends],
    begins: Sequence[float],
    orders: Sequence[Order],
    hoists: Sequence[int],
    line: Occupancy | None = None,
) -> list[int]:
    """The position of each logged move in the planned order of its hoist.

    Parameters
    ----------
    made : sequence of (str, str)
        Source and target of each logged move.
    begins : sequence of float
        When each began, in the unit of the plan.
    orders : sequence of Order
        Of each hoist.
    hoists : sequence of int
        Which of them made each move.
    line : Occupancy, optional
        Follows the loads; without it there may be something to lift everywhere.

    Returns
    -------
    list of int
        For each hoist rising positions, of a cycle counted on through the cycles from its
        first match in cycle 0; -1 where a move is none of the plan's.
    """
    chains = [_Chains() for _ in orders]
    for what, begin, hoist in zip(made, begins, hoists, strict=True):
        empty = frozenset[str]() if line is None else line.empty
        chains[hoist].go_on(what, begin, orders[hoist], empty)
        if line is not None:
            line.moved(*what)
    ways = [iter(chain.positions(order)) for chain, order in zip(chains, orders, strict=True)]
    return [next(ways[hoist]) for hoist in hoists]


@dataclass
class _Chains:
    """The best chain to each match.

    Attributes
    ----------
    cost, place, move, back : list of int
        Of each match: cost of the chain, place in the plan, logged move, match before.
    begins : list of float
        Of each logged move.
    nearest : int
        The match from which a chain goes on best after any gap.
    first : int
        First match in the window.
    """

    cost: list[int] = field(default_factory=list)
    place: list[int] = field(default_factory=list)
    move: list[int] = field(default_factory=list)
    back: list[int] = field(default_factory=list)
    begins: list[float] = field(default_factory=list)
    nearest: int = -1
    first: int = 0

    def go_on(self, what: Ends, begin: float, order: Order, empty: Set[str]) -> None:
        """Let the best chain to each place of a logged move end with it."""
        cost, move = self.cost, self.move
        number, known = len(self.begins), len(cost)
        self.begins.append(begin)
        places = order.where.get(what)
        if not places:
            return
        while self.first < known and move[self.first] < number - WINDOW:
            self.first += 1
        low = min(cost[self.first :], default=0)
        for place in places:
            best, before = number * _ADDED, -1
            for match in range(known - 1, self.first - 1, -1):
                if (number - move[match] - 1) * _ADDED + low >= best:
                    break
                total = self._total(match, number, place, order, best, empty)
                if total < best:
                    best, before = total, match
            if 0 <= self.nearest < self.first:
                total = self._total(self.nearest, number, place, order, best, empty)
                if total < best:
                    best, before = total, self.nearest
            cost.append(best)
            self.place.append(place)
            move.append(number)
            self.back.append(before)
        for match in range(known, len(cost)):
            if self.nearest < 0 or self._ahead(match) <= self._ahead(self.nearest):
                self.nearest = match

    def _ahead(self, match: int) -> int:
        """What orders chains that end at different moves of the log."""
        return self.cost[match] - self.move[match] * _ADDED

    def _total(
        self, match: int, number: int, place: int, order: Order, most: int, empty: Set[str]
    ) -> int:
        """Cost of a chain that goes on from a match; `most` where it cannot."""
        before = self.place[match]
        skipped = order.skipped(before, place)
        if skipped < 0:
            return most
        if order.cycle is not None:
            passed = self.begins[number] - self.begins[self.move[match]]
            if passed < order.time(before, place) - AHEAD * order.cycle:
                return most
        gap = order.gap(before, skipped, empty) if skipped else 0
        return self.cost[match] + (number - self.move[match] - 1) * _ADDED + gap

    def positions(self, order: Order) -> list[int]:
        """The chain that ends best, from its beginning."""
        found = [-1] * len(self.begins)
        if not self.cost:
            return found
        match = min(range(len(self.cost)), key=self._ahead)
        chain = []
        while match >= 0:
            chain.append(match)
            match = self.back[match]
        chain.reverse()
        position = self.place[chain[0]]
        found[self.move[chain[0]]] = position
        for before, match in pairwise(chain):
            position += 1 + order.skipped(self.place[before], self.place[match])
            found[self.move[match]] = position
        return found
