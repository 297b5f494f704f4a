"""Least cycle time by trying every start tick: no orders, no equations, tiny lines only.

Checks the brute force over orders. Tanks are filled and emptied carrier by carrier over
a few cycles in the middle of an endless repetition.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import partial
from itertools import permutations, product

from hoistopt.problem import Problem, Station

from .moves import Line, Move, lines

Pair = tuple[int, int, int, int | None]
"""Bringing move, taking move, least and greatest ticks between."""


def least_cycle_by_ticks(problem: Problem, degree: int, limit: int) -> int | None:
    """The least cycle time up to `limit` ticks that keeps the pace asked for, or None."""
    choices = list(lines(problem, degree))
    for period in range(1, limit + 1):
        mean = period * Fraction(problem.tick or 1) / degree
        if mean < problem.cycle.min or (problem.cycle.max is not None and mean > problem.cycle.max):
            continue
        for line in choices:
            if any(True for _ in Works(line, period).schedules()):
                return period
    return None


class Works:
    """Whether stays, ends, carriers and entering order can all be right at one cycle time.

    For many starts make one of these: what a station asks is then looked at once for all
    starts with the same times between its moves.
    """

    def __init__(self, line: Line, period: int) -> None:
        self._line, self._period = line, period
        self._demands = _demands(line, period)

    def __call__(self, starts: Sequence[int]) -> bool:
        """Whether these starts, in ticks, can be right."""
        return _entering_right(self._line, starts) and _carriers_right(
            self._line, self._demands, starts
        )

    def schedules(self) -> Iterator[list[int]]:
        """Start ticks of every move with which all is right; the first is 0."""
        return (
            starts
            for starts in _hoist_free(self._line, self._period, self._demands)
            if self(starts)
        )


def works(line: Line, starts: Sequence[int], period: int) -> bool:
    """Whether stays, ends, carriers and entering order can all be right."""
    return Works(line, period)(starts)


def _hoist_free(line: Line, period: int, demands: Sequence[_Demand]) -> Iterator[list[int]]:
    """Start ticks with which the hoist is never needed in two places; the first is 0.

    Nor is any station asked for what it cannot give, which is looked at as soon as the
    starts of all of its own moves are known.
    """
    count = len(line.moves)
    complete: list[list[_Demand]] = [[] for _ in range(count)]
    for demand in demands:
        complete[demand.last].append(demand)
    if any(line.gap[i][i] > period for i in range(count)):
        return

    def apart(a: int, b: int) -> int:
        """Which ticks can lie between the starts of two moves: bit period + ticks."""
        possible = (1 << 2 * period) - 1
        for repeated in (0, period, 2 * period):
            # They clash where one starts after the other and before the hoist can be there.
            first = max(0, repeated - max(line.gap[b][a], 1) + 1)
            end = max(first, repeated + max(line.gap[a][b], 1))
            possible &= ~((1 << end) - (1 << first))
        return possible

    free = [[apart(a, b) for b in range(count)] for a in range(count)]

    def extend(starts: list[int]) -> Iterator[list[int]]:
        move = len(starts)
        if move == count:
            yield starts
            return
        possible = (1 << period) - 1  # bit for bit the start ticks of this move
        for other, start in enumerate(starts):
            possible &= free[other][move] >> (period - start)
        for start in range(period):
            if possible >> start & 1:
                yield from further([*starts, start])

    def further(starts: list[int]) -> Iterator[list[int]]:
        for demand in complete[len(starts) - 1]:
            if demand.carriers(starts) is None:
                return
        yield from extend(starts)

    yield from further([0])


def _entering_right(line: Line, starts: Sequence[int]) -> bool:
    if line.problem.cycle.order is None:
        return True
    lifts = sorted((starts[i], m.load) for i, m in enumerate(line.moves) if m.step == 0)
    seen = [line.recipes[load].name for _, load in lifts]
    asked = [recipe.name for recipe in line.recipes]
    return any(seen == asked[i:] + asked[:i] for i in range(len(asked)))


class _Demand:
    """What one station asks of the starts of its own moves.

    The times between them are all that counts, so it is looked at once for all starts with
    the same times between these moves.
    """

    def __init__(self, moves: Iterable[int], fewest: Callable[[Sequence[int]], int | None]) -> None:
        self._first, *self._others = sorted(set(moves)) or [0]
        self.last = self._others[-1] if self._others else self._first
        self._fewest = fewest
        self._known: dict[object, int | None] = {}

    def carriers(self, starts: Sequence[int]) -> int | None:
        """The fewest carriers standing at the start of the cycle; None: it cannot be."""
        first = starts[self._first]
        between = tuple([starts[move] - first for move in self._others])
        try:
            return self._known[between]
        except KeyError:
            return self._known.setdefault(between, self._fewest(starts))


def _demands(line: Line, period: int) -> list[_Demand]:
    problem, found = line.problem, []
    for station in sorted(problem.stations, key=lambda s: s.loads or s.unloads):
        here = [(s.arrive, s.leave, s.least, s.most) for s in line.stays]
        pairs = [p for p in here if line.moves[p[1]].source == station.name]
        ways = [pairs] if pairs else _end_stays(line, station)
        if ways:
            involved = [i for way in ways for pair in way for i in pair[:2]]
            found.append(_Demand(involved, partial(_fewest_of, line, station, ways, period)))
    if problem.carriers.return_ == "outside":
        for station in problem.stations:
            involved = [i for i, m in enumerate(line.moves) if station.name in (m.source, m.target)]
            found.append(_Demand(involved, partial(_spaced, line, station, period)))
        kinds = {name: station.kind for name, station in problem.station_by_name.items()}
        involved = [
            i
            for i, m in enumerate(line.moves)
            if kinds[m.source] == "load" or kinds[m.target] == "unload"
        ]
        found.append(_Demand(involved, partial(_returning, line, period)))
    return found


def _carriers_right(line: Line, demands: Sequence[_Demand], starts: Sequence[int]) -> bool:
    """Whether stays and ends can be right with no more carriers than there are."""
    carriers = 0
    for demand in demands:
        fewest = demand.carriers(starts)
        if fewest is None:
            return False
        carriers += fewest
    return line.problem.carriers.count is None or carriers <= line.problem.carriers.count


def _end_stays(line: Line, station: Station) -> list[list[Pair]]:
    """Stays of carriers at an end of the line, in every matching; none if they leave."""
    by_hoist = line.problem.carriers.return_ == "hoist"
    if station.kind not in (("load", "unload") if by_hoist else ("load-unload",)):
        return []
    least = line.clock.up(station.min_occupation)
    came = [i for i, m in enumerate(line.moves) if m.target == station.name]
    went = [i for i, m in enumerate(line.moves) if m.source == station.name]
    found: list[list[Pair]] = []
    for taken in permutations(went) if came else ():
        own = all(
            line.moves[a].load == line.moves[b].load for a, b in zip(came, taken, strict=True)
        )
        if station.kind != "unload" or own:
            found.append([(a, b, least, None) for a, b in zip(came, taken, strict=True)])
    return found


def _fewest_of(
    line: Line, station: Station, ways: list[list[Pair]], period: int, starts: Sequence[int]
) -> int | None:
    """Fewest restarts with which the stays are right in one of these matchings."""
    found = (_fewest(line, station, pairs, starts, period) for pairs in ways)
    return min((restarts for restarts in found if restarts is not None), default=None)


def _fewest(
    line: Line, station: Station, pairs: list[Pair], starts: Sequence[int], period: int
) -> int | None:
    """Fewest restarts in all with which these stays are right; None if they cannot be."""
    limited = isinstance(station.capacity, int)
    most = station.capacity + 1 if isinstance(station.capacity, int) else 10_000
    chances = []
    for a, b, least, longest in pairs:
        stood = starts[b] - starts[a] - line.moves[a].ticks
        first = max(0, -((stood - least) // period))
        last = most if longest is None else min(most, (longest - stood) // period)
        if first > last:
            return None
        # Without a limit the first that is long enough will do.
        chances.append(range(first, last + 1) if limited else range(first, first + 1))
    for wraps in sorted(product(*chances), key=sum):  # the first that is right has the fewest
        if _places_right(line, station, pairs, wraps, starts, period):
            return sum(wraps)
    return None


def _places_right(
    line: Line,
    station: Station,
    pairs: list[Pair],
    wraps: Sequence[int],
    starts: Sequence[int],
    period: int,
) -> bool:
    """Whether there is a place for every carrier set down, and they leave in turn."""
    once = [
        (starts[a] + line.moves[a].ticks, starts[b] + wrap * period)
        for (a, b, _, _), wrap in zip(pairs, wraps, strict=True)
    ]
    far = range(-max(wraps) - 2, max(wraps) + 3)
    stays = [(down + k * period, up + k * period) for down, up in once for k in far]
    if isinstance(station.capacity, int):
        for moment, _ in once:
            if sum(down <= moment <= up for down, up in stays) > station.capacity:
                return False
        if station.min_rest and not _rested(line, station, pairs, wraps, starts, period):
            return False
    if station.kind in ("tank", "dryer") and station.order == "fifo":
        leaving = [up for _, up in sorted(stays)]
        return leaving == sorted(leaving)
    return True


def _rested(
    line: Line,
    station: Station,
    pairs: list[Pair],
    wraps: Sequence[int],
    starts: Sequence[int],
    period: int,
) -> bool:
    """Whether a place is taken until its rest is over, and yet there is one for every carrier.

    In parts of a tick, as carriers are set down before the last tick of a move is over. A
    carrier that may be lifted late is taken to be.
    """
    fine = 10**40
    rest = Fraction(station.min_rest) / line.clock.tick * fine - 10**20  # roots are cut off
    once = [
        (
            (starts[a] + line.moves[a].ticks) * fine - line.moves[a].left_over,
            (starts[b] + wrap * period + line.late[b]) * fine + rest,
        )
        for (a, b, _, _), wrap in zip(pairs, wraps, strict=True)
    ]
    far = range(-max(wraps) - int(rest / period / fine) - 3, max(wraps) + 2)
    taken = [(down + k * period * fine, up + k * period * fine) for down, up in once for k in far]
    assert isinstance(station.capacity, int)
    return all(
        sum(down <= moment < up for down, up in taken) <= station.capacity for moment, _ in once
    )


def _spaced(line: Line, station: Station, period: int, starts: Sequence[int]) -> int | None:
    """Separate ends: any capacity+1 carriers in a row need their least time."""
    if station.capacity == "unlimited" or station.kind not in ("load", "unload"):
        return 0
    fine = 10**40  # parts of a tick, for moves that end before a tick is over
    if station.kind == "load":
        once = [starts[i] * fine for i, m in enumerate(line.moves) if m.source == station.name]
    else:
        once = [
            (starts[i] + m.ticks) * fine - m.left_over
            for i, m in enumerate(line.moves)
            if m.target == station.name
        ]
    least = line.clock.up(station.min_occupation) * fine
    times = sorted(t + k * period * fine for t in once for k in range(station.capacity + 2))
    enough = all(
        later - sooner >= least - 10**20  # roots are cut off
        for sooner, later in zip(times, times[station.capacity :], strict=False)
    )
    return 0 if enough else None


def _returning(line: Line, period: int, starts: Sequence[int]) -> int:
    """Fewest restarts while carriers are on their way back outside."""
    by_name = line.problem.station_by_name
    came = [i for i, m in enumerate(line.moves) if by_name[m.target].kind == "unload"]
    went = [i for i, m in enumerate(line.moves) if by_name[m.source].kind == "load"]
    clock, outside = line.clock, line.problem.carriers.return_time

    def restarts(a: int, b: int) -> int:
        brought: Move = line.moves[a]
        ready = starts[a] + brought.ticks + clock.up(outside)
        ready += clock.up(by_name[brought.target].min_occupation)
        ready += clock.up(by_name[line.moves[b].source].min_occupation)
        return max(0, -((starts[b] - ready) // period))

    return min(
        sum(restarts(a, b) for a, b in zip(came, taken, strict=True))
        for taken in permutations(went)
    )
