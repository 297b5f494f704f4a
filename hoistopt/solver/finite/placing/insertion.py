"""Place one load among others whose times are fixed: exactly, as early as it can be out.

The times at which the load may be lifted from a stage form a set of spans. It follows from
that of the stage before: what the hoist leaves free, moved on by the duration and by the
window of the dwell, within the spans in which the place has room. At the end the earliest
time is followed back.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from ....instance import Route
from ...model.constraints.several import apart
from .board import Board
from .pieces import Piece, Way, back_through, piece_of, place_of, stays_for, way_of, ways_on
from .room import EVER, Stand
from .spans import Spans, merged, within, without


def insert(
    board: Board,
    number: int,
    *,
    not_before: int = 0,
    not_after: int = EVER,
    dwells: Sequence[int] | None = None,
    places: Sequence[int] | None = None,
    routes: Sequence[Route] | None = None,
) -> bool:
    """Place a load so that it is out as early as can be; whether it can be placed at all.

    A load that has moves of the cycle makes those at their times, and the others as late as
    can be before.

    Parameters
    ----------
    board : Board
        Changed only where the load is placed.
    number : int
        Of a load that is not on it.
    not_before, not_after : int
        Between which it may enter.
    dwells : sequence of int, optional
        The dwells of its stages to come, within their windows; by default any within them.
    places : sequence of int, optional
        Where each of its moves sets it down; by default wherever it may.
    routes : sequence of Route, optional
        The ways of its moves that a dwell follows; by default any of them.
    """
    moves = board.instance.loads[number].moves
    for low, high in board.carrier_spans(number):
        for at_once in (False, True):
            way = _earliest(
                board, number, low, high, not_before, not_after, dwells, places, routes, at_once
            )
            if way is not None and not _rests_between(board, number, way):
                continue
            if way is not None and _apart(board, moves, way):
                board.put(number, way)
                return True
            break
    return False


def _rests_between(board: Board, number: int, way: list[tuple[int, Route]]) -> bool:
    """Whether a place that the load itself comes to again has rested by then."""
    instance, load = board.instance, board.instance.loads[number]
    own: dict[int, list[Stand]] = {}
    if load.place is not None:
        own[load.place] = [Stand(load.came, way[0][0], number)]
    for (start, route), (leaves, _) in pairwise(way):
        stand = Stand(start + route.duration, leaves, number, instance.early(route))
        before = own.setdefault(route.target, [])
        if (
            before
            and route.target in instance.rests
            and not board.free_beside(route.target, before, stand)
        ):
            return False
        before.append(stand)
    return True


def _apart(board: Board, moves: tuple[int, ...], way: list[tuple[int, Route]]) -> bool:
    """Whether the load's own moves leave the hoist time: tables may make the direct way long."""
    empty, tied, several = board.instance.empty, board.instance.tied, board.instance.several
    for place, ((start, route), move) in enumerate(zip(way, moves, strict=True)):
        if move in tied:
            return True
        for later, onward in way[place + 1 :]:
            if several is not None:
                asked = apart(several, route, onward)
                if asked is not None and asked[0] < later - start < asked[1]:
                    return False
            elif later < start + route.duration + empty[route.target][onward.source]:
                return False
    return True


def _earliest(
    board: Board,
    number: int,
    taken: int,
    back: int,
    not_before: int,
    not_after: int,
    dwells: Sequence[int] | None,
    places: Sequence[int] | None,
    routes: Sequence[Route] | None,
    at_once: bool,
) -> list[tuple[int, Route]] | None:
    """The way that is over first; the carrier is there from `taken` to `back`.

    A load that comes back to a place which rests may find that it has not: spans know nothing
    of the load's own times. `at_once` has it leave such a place as soon as it can, and come
    back late enough after that.
    """
    instance, load = board.instance, board.instance.loads[number]
    moves = [instance.moves[index] for index in load.moves]
    given = _given(board, load.moves)
    stock = instance.carriers
    high = EVER if load.latest is None else load.latest
    starts: dict[Way, Spans] = {}
    for onward_by in ways_on(board, moves[0]):
        source = place_of(onward_by)
        low = load.earliest
        if load.enters:
            low = max(low, not_before)
            high = min(high, not_after)
            if stock is not None:
                low = max(low, taken + stock.ahead[source])
            spans = [(low, high)] if low <= high else []
            starts[onward_by] = without(spans, board.end_busy(source, moves[0].index, True))
        else:
            leaves = [
                (max(cell.left_first, low), min(cell.left_last, high))
                for cell in board.cells(source, number)
                if cell.came_first <= load.came <= cell.came_last
            ]
            starts[onward_by] = merged(leaves)
    trail: list[list[Piece]] = []
    rested: dict[int, int] = {}
    if at_once:
        _leave_at_once(board, starts, rested)
    before = moves[: len(moves) - len(given)]
    ahead = [*before, moves[len(before)]] if given else moves
    for place, (move, onward) in enumerate(pairwise(ahead)):
        stay = instance.stay_after[move.index]
        pieces: list[Piece] = []
        sources = onward.sources
        for route in move.routes:
            came = _free(board, route, starts.get(way_of(board, route), []))
            if not came or route.target not in sources:
                continue
            if places is not None and route.target != places[place]:
                continue
            if routes is not None and route != routes[place]:
                continue
            came = [(a + route.duration, b + route.duration) for a, b in came]
            if route.target in rested:
                came = within(came, rested[route.target] - instance.early(route), EVER)
                if not came:
                    continue
            most = EVER if stay.most is None else stay.most - route.shaved
            least = stay.least
            if dwells is not None:
                least = most = dwells[place]
            for cell in board.cells(route.target, number, route):
                for way_on in ways_on(board, onward):
                    if place_of(way_on) != route.target:
                        continue
                    after = max(least, stays_for(board, route, way_on))
                    piece = piece_of(way_on, route, came, cell, after, most)
                    if piece is not None:
                        pieces.append(piece)
        if not pieces:
            return None
        trail.append(pieces)
        starts = {
            way: merged(span for piece in pieces if piece.onward == way for span in piece.lifts)
            for way in dict.fromkeys(piece.onward for piece in pieces)
        }
        if at_once:
            _leave_at_once(board, starts, rested)
    if given:
        return _joined(board, number, back, trail, starts, given)
    best: tuple[int, int, Route] | None = None
    for route in moves[-1].routes:
        free = _free(board, route, starts.get(way_of(board, route), []))
        ends = [(a + route.duration, b + route.duration) for a, b in free]
        ends = without(ends, board.end_busy(route.target, moves[-1].index, False))
        limit = back - stock.behind[route.target] + 1 if stock is not None else EVER
        if ends and ends[0][0] <= limit and (best is None or ends[0][0] < best[0]):
            best = (ends[0][0], ends[0][0] - route.duration, route)
    return None if best is None else back_through(board, trail, best[1], best[2])


def _leave_at_once(board: Board, starts: dict[Way, Spans], rested: dict[int, int]) -> None:
    """Leave each place of one that rests only at the earliest time, and note when it has rested."""
    for way, spans in starts.items():
        place = place_of(way)
        rest = board.instance.rests.get(place)
        if rest is not None and spans and board.instance.places[place].capacity == 1:
            soonest = spans[0][0]
            starts[way] = [(soonest, soonest)]
            rested[place] = max(rested.get(place, 0), soonest + rest)


def _given(board: Board, moves: tuple[int, ...]) -> list[tuple[int, Route]]:
    """The moves of a load that the cycle makes, in their order."""
    tied = board.instance.tied
    if board.joined is None:
        return []
    return [
        (board.joined + tied[move], board.instance.moves[move].routes[0])
        for move in moves
        if move in tied
    ]


def _joined(
    board: Board,
    number: int,
    back: int,
    trail: list[list[Piece]],
    starts: dict[Way, Spans],
    given: list[tuple[int, Route]],
) -> list[tuple[int, Route]] | None:
    """The way that ends with the moves of the cycle, where the load can be there in time."""
    instance = board.instance
    start, route = given[0]
    if not within(starts.get(way_of(board, route), []), start, start):
        return None
    ready = instance.hoist
    if ready is not None and any(at < ready[way.source] for at, way in given):
        return None  # tables may make its direct way to a later move long
    if any(low <= at <= high for at, way in given for low, high in instance.barred(way)):
        return None
    over, last = given[-1][0] + given[-1][1].duration, given[-1][1]
    busy = board.end_busy(last.target, instance.loads[number].moves[-1], False)
    if within(busy, over, over):
        return None
    if not all(_rested(board, number, at, way) for at, way in given):
        return None
    if instance.carriers is not None and over + instance.carriers.behind[last.target] > back + 1:
        return None
    return [*back_through(board, trail, start, route), *given[1:]]


def _rested(board: Board, number: int, start: int, route: Route) -> bool:
    """Whether a move of the cycle finds a place that has rested, where its target does."""
    if route.target not in board.instance.rests:
        return True
    over = start + route.duration
    cells = board.cells(route.target, number, route)
    return any(cell.came_first <= over <= cell.came_last for cell in cells)


def _free(board: Board, route: Route, starts: Spans) -> Spans:
    if not starts:
        return []
    return without(starts, board.busy(route, starts[0][0], starts[-1][1]))
