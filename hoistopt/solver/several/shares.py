"""How the moves of a line may be shared out among its hoists, by zones of the track.

A route lies where its middle is, half way from source to target. Borders between such middles,
one between every two neighbouring hoists, cut the track into zones. Where loads pass the tanks in
track order, neighbours then hand loads over in the tank at the border, which both reach.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import combinations_with_replacement, pairwise

from ...instance import Instance, Move, Route

Borders = tuple[int, ...]
"""For all hoists but the last, how many of the middles lie in its zone or left of it."""

MOST_SPLITS = 3000
"""Ways to set borders that are weighed; on longer lines those nearest to even zones."""


def middle(route: Route) -> Fraction:
    """The position half way between source and target."""
    assert route.path is not None
    return (route.path.low[0][1] + route.path.low[-1][1]) / 2


def narrowed(instance: Instance, allowed: Callable[[Move, Route], bool]) -> Instance:
    """The instance with those routes only; a move of which none is allowed keeps all."""
    moves = tuple(
        replace(move, routes=tuple(r for r in move.routes if allowed(move, r)) or move.routes)
        for move in instance.moves
    )
    return replace(instance, moves=moves)


@dataclass(frozen=True)
class Zones:
    """The zones into which the track of an instance can be cut."""

    instance: Instance

    @cached_property
    def middles(self) -> list[Fraction]:
        """Of all routes, from left to right, each once."""
        return sorted({middle(r) for move in self.instance.moves for r in move.routes})

    @cached_property
    def hoists(self) -> int:
        """Number of hoists."""
        assert self.instance.several is not None
        return len(self.instance.several)

    def share(self, borders: Borders, wider: int = 0) -> Instance:
        """The instance in which every hoist keeps to its zone, made so many middles wider.

        A move that no hoist can make in its zone is made by those that can from the nearest.
        """
        rank = {position: number for number, position in enumerate(self.middles)}

        def outside(route: Route) -> int:
            """By how many middles a route lies outside of its hoist's zone."""
            here, hoist = rank[middle(route)], route.hoist
            begins = borders[hoist - 1] - wider if hoist else 0
            ends = borders[hoist] + wider if hoist < len(borders) else len(rank)
            return max(begins - here, here - ends + 1, 0)

        moves = []
        for move in self.instance.moves:
            least = min(outside(route) for route in move.routes)
            kept = tuple(route for route in move.routes if outside(route) == least)
            moves.append(replace(move, routes=kept))
        return replace(self.instance, moves=tuple(moves))

    def splits(self) -> Iterator[Borders]:
        """All borders, those first that share the work most evenly, by an estimate of it."""
        count = len(self.middles)
        every = combinations_with_replacement(range(count + 1), self.hoists - 1)
        yield from sorted(every, key=self.work)[:MOST_SPLITS]

    def work(self, borders: Borders) -> Fraction:
        """An estimate of the work of the hoist with the most, in ticks, for given borders."""
        ends = (0, *borders, len(self.middles))
        sums = self._sums
        return max(
            self._of(sums, hoist, first, last) for hoist, (first, last) in enumerate(pairwise(ends))
        )

    def _of(
        self, sums: list[tuple[Fraction, Fraction]], hoist: int, first: int, last: int
    ) -> Fraction:
        assert self.instance.several is not None
        time, way = sums[last][0] - sums[first][0], sums[last][1] - sums[first][1]
        # What loads are carried in one direction it comes back empty.
        return time + abs(way) * self.instance.several.slowness[hoist]

    @cached_property
    def _sums(self) -> list[tuple[Fraction, Fraction]]:
        """Durations and ways to the right of all moves left of each border."""
        assert self.instance.several is not None
        zero = Fraction(0)
        each: dict[Fraction, tuple[Fraction, Fraction]] = {}
        for move in self.instance.moves:
            for at in {middle(route): route for route in move.routes}.values():
                assert at.path is not None
                here = middle(at)
                share = Fraction(1, len({middle(route) for route in move.routes}))
                time, way = each.get(here, (zero, zero))
                path = at.path.low
                each[here] = (
                    time + share * at.duration,
                    way + share * (path[-1][1] - path[0][1]),
                )
        found = [(zero, zero)]
        for here in self.middles:
            time, way = each[here]
            found.append((found[-1][0] + time, found[-1][1] + way))
        return found
