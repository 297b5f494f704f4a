"""Several hoists on one track: how far apart in time two of their moves must be.

Hoists are numbered in track order, neighbours at least `clearance` apart. Take an instant of
a move of a left hoist and one of a move of a right hoist at which they would be too close.
Between those two instants there must be time enough for either hoist to make good the
distance. Over all such instants this forbids an interval for the time from the start of the
one move to that of the other.

That all pairs of moves keep such times apart is enough for hoists that travel at constant
speed: what is demanded of each of them then changes no faster than it can travel, and such
demands can be joined to ways that keep their distance at all times. With acceleration the
time to make good a distance is taken as longer than it is (twice the root of d/a is never
more than d/v + v/a), and the checker looks at the distances over time.

Of a loaded move that a table has the time of, nothing is known but that time. The hoist goes one
way, never faster than its loaded top speed (the table may not be shorter than that), leaves once
the load has dripped and arrives by the end. It may be anywhere between the way that leaves first
and the one that arrives last, so its neighbours keep clear of both. A state cannot be taken while
such a move is under way, and no release signals are worked out for it. An entry holds for every
hoist.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Literal

from .least_apart import Fastest, Instant, least_apart

TRAVEL_PARTS = 1000
"""Travels by which hoists give way start at whole parts of a tick, so many a tick, so that they
can be written down."""

MOST_KEPT = 2**14
"""Answers on pairs of moves that are kept beyond an instance: the other degrees of a line, and
searches that ask for less, have the same moves."""

Asked = Literal["enough", "near", "least"]
Matrix = tuple[tuple[int, ...], ...]
Corner = tuple[Fraction, Fraction]
"""A time in ticks from the start of a move, and a position."""


@dataclass(frozen=True)
class Path:
    """Where a hoist may be while it makes a move, from its standing ready to the end.

    It stands over the station that it lifts from until the swing of its way there has died
    down, before the move starts; so times begin below 0.

    Attributes
    ----------
    low, high : tuple of (Fraction, Fraction)
        Corners of two broken lines over time, in ticks from the start of the move, between
        which its position lies: one line where it travels at constant speed.
    instants : tuple of Instant
        Some of its true way: at them it is there for certain.
    """

    low: tuple[Corner, ...]
    high: tuple[Corner, ...]
    instants: tuple[Instant, ...] = ()

    def late_by(self, ticks: int) -> Path:
        """Where the hoist may be if the move may start up to so many ticks late.

        It stands ready on time.
        """
        if not ticks:
            return self
        low, high = (
            tuple((time + ticks, position) for time, position in line[1:])
            if line[-1][1] == line[0][1] or (line is self.low) == (line[-1][1] > line[0][1])
            else (*line[1:-1], (line[-1][0] + ticks, line[-1][1]))
            for line in (self.low, self.high)
        )
        return Path((self.low[0], *low), (self.high[0], *high))

    @cached_property
    def key(self) -> int:
        """A hash that is worked out once, as paths are looked up very often."""
        return hash((self.low, self.high, self.instants))

    def __hash__(self) -> int:
        return self.key


@lru_cache(maxsize=MOST_KEPT)
def path_of(
    comes: Fraction,
    leaves: Fraction,
    arrives: Fraction,
    ends: Fraction,
    here: Fraction,
    there: Fraction,
    speed: Fraction,
    instants: tuple[Instant, ...] = (),
) -> Path:
    """The path of a move.

    Parameters
    ----------
    comes, leaves, arrives, ends : Fraction
        Ticks from the start of lifting: when the hoist stands there, at most 0; when travelling
        begins; when it is over, at the latest; when the load is set down.
    here, there : Fraction
        Positions.
    speed : Fraction
        Top speed, length per tick.
    instants : tuple of Instant
        Some of its true way.

    Notes
    -----
    The path of a like move is the same object, so that looking up what is kept of it compares
    no numbers.
    """
    if here == there:
        line = ((comes, here), (ends, here))
        return Path(line, line, instants)
    quickest = abs(there - here) / speed
    soon = ((comes, here), (leaves, here), (leaves + quickest, there), (ends, there))
    late = ((comes, here), (arrives - quickest, here), (arrives, there), (ends, there))
    low, high = (late, soon) if there > here else (soon, late)
    return Path(low, high, instants)


@dataclass(frozen=True)
class Several:
    """What there is to know of several hoists beside the times of their moves.

    Attributes
    ----------
    names : tuple of str
        In track order.
    empties : tuple of matrix
        ``empties[h][u][v]``: travel of hoist h, empty, from place u to place v, in ticks.
    excesses : tuple of matrix of Fraction
        By how many ticks each of those is longer than it takes; none where all take whole ticks.
    clearance : Fraction
        Least distance of neighbours.
    slowness : tuple of Fraction
        Ticks that each hoist takes a unit of length when it gives way at top speed.
    getting_up : tuple of Fraction
        Ticks by which acceleration may make its giving way longer.
    leeway : Fraction
        Ticks more for giving way, for starts are rounded to :data:`TRAVEL_PARTS`; 0 where all
        hoists are at all corners of their ways at whole ticks.
    fastest : tuple of Fastest
        What each hoist can do at the best, empty or loaded.
    empty : tuple of Fastest
        What each does when it gives way.
    exact : bool
        Whether what is enough for hoists to keep apart is what is needed in any case.
    asks : {"enough", "near", "least"}
        What :meth:`apart` asks for: enough; no more than is needed in any case, for bounds; or
        what is mostly enough, in between.
    """

    names: tuple[str, ...]
    empties: tuple[Matrix, ...]
    clearance: Fraction
    slowness: tuple[Fraction, ...]
    getting_up: tuple[Fraction, ...]
    leeway: Fraction = Fraction(0)
    excesses: tuple[tuple[tuple[Fraction, ...], ...], ...] = ()
    fastest: tuple[Fastest, ...] = ()
    empty: tuple[Fastest, ...] = ()
    exact: bool = False
    asks: Asked = "enough"

    def __len__(self) -> int:
        return len(self.names)

    def next_move(self, hoist: int, takes: Fraction, here: int, there: int) -> int:
        """The least whole ticks from a move's start to that of the next one of its hoist.

        The hoist goes on at once when the load is set down, which may be between two ticks, so
        it is rounded once.

        Parameters
        ----------
        takes : Fraction
            Ticks that the move takes.
        here, there : int
            Places at which the one ends and the other begins.
        """
        empty: int | Fraction = self.empties[hoist][here][there]
        if self.excesses:
            empty -= self.excesses[hoist][here][there]
        return (takes + empty).__ceil__()

    def asking(self, asked: Asked) -> Several:
        """The hoists with `asked` as what they ask of one another; unchanged if they are exact."""
        return self if self.exact or asked == self.asks else replace(self, asks=asked)

    @cached_property
    def _known(self) -> dict[tuple[int, int, Path, Path], tuple[int, int] | None]:
        return {}

    def apart(self, first: int, path: Path, second: int, other: Path) -> tuple[int, int] | None:
        """What two moves of different hoists forbid the time between their starts.

        Parameters
        ----------
        first, second : int
            Their hoists.
        path, other : Path
            Of the moves.

        Returns
        -------
        (int, int) or None
            The second must start so many ticks after the first at the most, or so many at the
            least; either may be below 0. None: whenever it likes.
        """
        if first > second:
            turned = self.apart(second, other, first, path)
            return None if turned is None else (-turned[1], -turned[0])
        key = first, second, path, other
        if key not in self._known:
            self._known[key] = self._apart(first, path, second, other)
        return self._known[key]

    def _apart(self, left: int, path: Path, right: int, other: Path) -> tuple[int, int] | None:
        needed = (right - left) * self.clearance
        if self.asks != "enough" and not self.exact:
            between = self.fastest[left : right + 1]
            empty = self.empty[left : right + 1] if self.asks == "near" else ()
            return _in_any_case(path, other, needed, between, empty)
        slowness = max(self.slowness[left : right + 1])
        more = max(self.getting_up[left : right + 1]) + self.leeway
        return _enough(path, other, needed, slowness, more)


@lru_cache(maxsize=MOST_KEPT)
def _in_any_case(
    path: Path,
    other: Path,
    needed: Fraction,
    hoists: tuple[Fastest, ...],
    resting: tuple[Fastest, ...],
) -> tuple[int, int] | None:
    return least_apart(path.instants, other.instants, needed, hoists, resting)


@lru_cache(maxsize=MOST_KEPT)
def _enough(
    path: Path, other: Path, needed: Fraction, slowness: Fraction, more: Fraction
) -> tuple[int, int] | None:
    """What is forbidden where making good a distance takes so long, and so many ticks more."""
    low: Fraction | None = None
    high: Fraction | None = None
    for s, u, short in _too_close(path.high, other.low, needed):
        wait = short * slowness + more
        low = s - u - wait if low is None else min(low, s - u - wait)
        high = s - u + wait if high is None else max(high, s - u + wait)
    if low is None or high is None:
        return None
    return low.__floor__(), high.__ceil__()


def leeway_of(paths: Iterable[Path], slowness: Iterable[Fraction], clearance: Fraction) -> Fraction:
    """The leeway of hoists with such paths; see :class:`Several`."""
    corners = {corner for path in paths for corner in (*path.low, *path.high)}
    times = {time for time, _ in corners}
    lengths = {position - min(x for _, x in corners) for _, position in corners} | {clearance}
    whole = all(time.denominator == 1 for time in times) and all(
        (length * slow).denominator == 1 for length in lengths for slow in slowness
    )
    return Fraction(0 if whole else 2, TRAVEL_PARTS)


def is_exact(several: Several, paths: Iterable[Path]) -> bool:
    """Whether what is enough on such paths is what is needed: all in whole ticks, speeds at once,
    none faster with a load, none settling longer than it stands there in any case. Of a move of
    which only the whole time is known, the rule asks for distance from all it may be in."""
    return (
        not several.leeway
        and not several.excesses
        and not any(several.getting_up)
        and all(f.speed * s == 1 for f, s in zip(several.fastest, several.slowness, strict=True))
        and all(path.instants[0].time == path.low[0][0] for path in paths)
    )


def _too_close(
    left: tuple[Corner, ...], right: tuple[Corner, ...], needed: Fraction
) -> Iterator[tuple[Fraction, Fraction, Fraction]]:
    """Corners of the instants of two moves at which their hoists would be too close.

    Yields times in both moves and the distance that is short. Over a part of each broken line
    the distance is linear in both times, so all that is asked for is at these corners.
    """
    for (s0, x0), (s1, x1) in pairwise(left):
        for (u0, y0), (u1, y1) in pairwise(right):
            corners = [
                (s, u, x + needed - y)
                for s, x in ((s0, x0), (s1, x1))
                for u, y in ((u0, y0), (u1, y1))
            ]
            if all(short <= 0 for _, _, short in corners):
                continue
            yield from (corner for corner in corners if corner[2] >= 0)
            for one, two in ((0, 1), (2, 3), (0, 2), (1, 3)):
                if (corners[one][2] < 0) != (corners[two][2] < 0):
                    yield _between(corners[one], corners[two])


def _between(
    one: tuple[Fraction, Fraction, Fraction], two: tuple[Fraction, Fraction, Fraction]
) -> tuple[Fraction, Fraction, Fraction]:
    """Where the distance is just enough, on the way from one corner to another."""
    share = one[2] / (one[2] - two[2])
    return one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1]), Fraction(0)
