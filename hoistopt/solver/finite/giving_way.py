"""How several hoists give way to one another in a programme, which is made once.

As in a cycle (:mod:`hoistopt.solver.several.travels`), but with a beginning and an end: where
the state does not say where a hoist is, it may stand at first wherever it is out of the way,
and after its last move it goes where the others want it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from ...instance import Several
from ...instance.finite import FiniteInstance
from ...instance.several import Path
from ...schedule import Travel
from ..several.travels import Gap, Own, Ways, from_either_side
from ..several.trip import Stretch
from .times import Timing

AHEAD = (Fraction(0), Fraction(1, 2), Fraction(1), Fraction(2))
"""How much of what is asked of a hoist later it meets from the first on, where the state does
not say where it is; in parts of the time that it takes to gain speed."""


def travels_once(instance: FiniteInstance, timing: Timing) -> tuple[Travel, ...] | None:
    """The travels with which the hoists of a programme keep their distance.

    Returns
    -------
    tuple of Travel or None
        Those that do not lead straight on at once, and first, at time 0, to where a hoist
        stands that does not begin where its first move does; None where no way was found.
    """
    several = instance.several
    if several is None:
        return ()
    moves: list[list[Own]] = [[] for _ in several.names]
    for start, route in sorted(zip(timing.starts, timing.routes, strict=True), key=_start):
        assert route.path is not None
        moves[route.hoist].append(Own(route.path, Fraction(start), start + route.work))
    begins: list[list[Own]] = [[] for _ in several.names]
    for begin in instance.begins:
        begins[begin.hoist].append(Own(begin.path, Fraction(0), begin.free))
    return from_either_side(several, _Once, begins, moves)


def _start(made: tuple[int, object]) -> int:
    return made[0]


class _Once(Ways):
    """The ways of hoists whose moves are made once."""

    def __init__(self, several: Several, begins: list[list[Own]], moves: list[list[Own]]) -> None:
        super().__init__(
            several, [[*first, *each] for first, each in zip(begins, moves, strict=True)], 0
        )
        self.told = [bool(own) for own in begins]
        self.reach = self.span * max(several.slowness) + max(several.getting_up)
        ends = [own.end for each in self.moves for own in each]
        self.over = max(ends, default=Fraction(0)) + 2 * self.reach

    def all(self) -> tuple[Travel, ...] | None:
        busy = [hoist for hoist, own in enumerate(self.moves) if own]
        found: list[Travel] = []
        for hoist, name in enumerate(self.several.names):
            self_made = self._of(hoist) if busy and busy[0] <= hoist <= busy[-1] else ([], [])
            if self_made is None:
                return None
            legs, self.left = self_made
            found += [Travel(start, name, to) for start, to in legs]
        return tuple(sorted(found, key=lambda travel: (travel.start, travel.hoist)))

    def _of(self, hoist: int) -> tuple[list[tuple[Fraction, Fraction]], list[Stretch]] | None:
        """The travels of a hoist that have to be stated, and all that it does between moves."""
        if self.told[hoist]:
            return self._from(hoist, self.moves[hoist], [])
        for at in self._places(hoist):
            path = Path(((Fraction(0), at),) * 2, ((Fraction(0), at),) * 2)
            stands = Own(path, Fraction(0), Fraction(0))
            made = self._from(hoist, [stands, *self.moves[hoist]], [(Fraction(0), at)])
            if made is not None:
                return made
        return None

    def _from(
        self, hoist: int, own: Sequence[Own], first: list[tuple[Fraction, Fraction]]
    ) -> tuple[list[tuple[Fraction, Fraction]], list[Stretch]] | None:
        stated: list[tuple[Fraction, Fraction]] = []
        chosen: list[Stretch] = []
        for place, move in enumerate(own):
            after = own[place + 1] if place + 1 < len(own) else None
            gap = Gap(self, hoist, move, after, self.over if after is None else after.start)
            legs = gap.legs()
            if legs is None:
                return None
            chosen += gap.way(legs) or ()
            if not place and first:
                # Where it stands goes without saying only where its first move begins.
                if legs or after is None or after.here != move.there:
                    stated += [*first, *legs]
            elif after is None or list(legs) not in ([], [(move.end, after.here)]):
                stated += legs
        return stated, chosen

    def _places(self, hoist: int) -> Iterator[Fraction]:
        """Where a hoist may stand at first, what is best first."""
        own = self.moves[hoist]
        ahead = self.several.getting_up[hoist]
        found: dict[Fraction, None] = {}
        for share in AHEAD:
            times = (Fraction(0), share * ahead)
            lows = [line.at(time) for line in self.lows(hoist, *times) for time in times] + [
                stretch.at(stretch.since) for stretch in self.neighbour(*times)
            ]
            highs = [-line.at(time) for line in self.highs(hoist, *times) for time in times]
            low, high = max(lows, default=None), min(highs, default=None)
            if low is not None and high is not None and low > high:
                continue
            at = own[0].here if own else (low if low is not None else high)
            if at is None:
                continue
            at = at if low is None else max(at, low)
            found[at if high is None else min(at, high)] = None
        yield from found

    def near(self, hoist: int, since: Fraction, until: Fraction) -> Iterable[Own]:
        return [
            own
            for own in self.moves[hoist]
            if own.start <= until + 2 * self.reach and own.end >= since - 2 * self.reach
        ]

    def repeated(
        self, begins: Fraction, ends: Fraction, since: Fraction, until: Fraction
    ) -> Iterator[Fraction]:
        if ends >= since and begins <= until:
            yield Fraction(0)
