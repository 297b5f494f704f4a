"""Who follows whom at the ends of the line, and in a tank: the carriers' turns."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ortools.graph.python.linear_sum_assignment import SimpleLinearSumAssignment

from ..instance import Instance, Route, Turnround


@dataclass(frozen=True)
class Turn:
    """After move `source` comes move `target`, that many cycles later."""

    source: int
    target: int
    height: int


def turns_of(
    instance: Instance,
    order: Sequence[int],
    routes: Sequence[Route],
    heights: Sequence[int],
    starts: Sequence[Fraction],
    cycle: Fraction,
) -> tuple[tuple[Turn, ...], ...]:
    """Who follows whom at the ends of the line, as loosely as the places and carriers allow.

    Where every lag of a turnround is the same, first come first served is as good as any
    other matching, and turning round one carrier more only gives each of them more time.
    """
    place = {move: number for number, move in enumerate(order)}
    spare = None
    fewest: list[int] = []
    for chain in instance.turnrounds:
        needed = 0
        if _matters(instance, chain):
            needed = sum(turn.height for turn in _fewest(chain, routes, starts, cycle, place))
        fewest.append(needed)
    if instance.carriers is not None:
        counted = zip(instance.turnrounds, fewest, strict=True)
        spare = instance.carriers - sum(heights)
        spare -= sum(needed for chain, needed in counted if chain.carries)
    turns: list[tuple[Turn, ...]] = []
    for chain, needed in zip(instance.turnrounds, fewest, strict=True):
        if not _matters(instance, chain):
            turns.append(())
            continue
        limit = most_turning(chain, place)
        more = None if limit is None else limit - needed
        if chain.carries and spare is not None:
            more = spare if more is None else min(more, spare)
            more = max(0, more)
            spare -= more
        turns.append(_turns(chain, routes, starts, cycle, place, needed + max(0, more or 0)))
    return tuple(turns)


def _matters(instance: Instance, chain: Turnround) -> bool:
    return chain.most is not None or (chain.carries and instance.carriers is not None)


def most_turning(chain: Turnround, place: dict[int, int]) -> int | None:
    """Most carriers that may be turning round at time 0, by the order alone.

    Where they stand in a place meanwhile, there must be room for every one set down.
    """
    if chain.most is None or chain.place is None:
        return chain.most
    most = chain.most
    for arriving in chain.sources:
        arrived = sum(place[other] < place[arriving] for other in chain.sources)
        left = sum(place[other] < place[arriving] for other in chain.targets)
        most = min(most, chain.most - 1 - arrived + left)
    return most


def _turns(
    chain: Turnround,
    routes: Sequence[Route],
    starts: Sequence[Fraction],
    cycle: Fraction,
    place: dict[int, int],
    total: int,
) -> tuple[Turn, ...]:
    if len({lag for lags in chain.lags for lag in lags}) == 1:
        return in_turn(chain, place, total)
    turns = list(_fewest(chain, routes, starts, cycle, place))
    for number in range(total - sum(turn.height for turn in turns)):
        turn = turns[number % len(turns)]
        turns[number % len(turns)] = Turn(turn.source, turn.target, turn.height + 1)
    return tuple(turns)


def in_turn(chain: Turnround, place: dict[int, int], total: int) -> tuple[Turn, ...]:
    """First come, first served, with `total` of them under way at time 0."""
    return served(chain.sources, chain.targets, place.__getitem__, total)


def served(
    sources: Iterable[int], targets: Iterable[int], place: Callable[[int], int], total: int
) -> tuple[Turn, ...]:
    """Each source with the target that takes what it leaves, in order.

    Parameters
    ----------
    sources, targets : iterable of int
        As many of the one as of the other.
    place : callable
        Where a move comes in the order of the cycle.
    total : int
        How many were left and are not taken yet at time 0.
    """
    sources, targets = sorted(sources, key=place), sorted(targets, key=place)
    count = len(targets)
    return tuple(
        Turn(source, targets[(number + total) % count], (number + total) // count)
        for number, source in enumerate(sources)
    )


def _fewest(
    chain: Turnround,
    routes: Sequence[Route],
    starts: Sequence[Fraction],
    cycle: Fraction,
    place: dict[int, int],
) -> tuple[Turn, ...]:
    """The matching with the fewest under way at the times given: a least assignment."""
    solver = SimpleLinearSumAssignment()
    heights: dict[tuple[int, int], int] = {}
    for i, source in enumerate(chain.sources):
        leaves = starts[source] + (0 if chain.from_start else routes[source].duration)
        for j, target in enumerate(chain.targets):
            comes = starts[target] + (routes[target].duration if chain.to_end else 0)
            needed = -int((comes - leaves - chain.lags[i][j]) // cycle)
            lowest = 0 if place[source] < place[target] else 1
            heights[i, j] = max(lowest, needed)
            solver.add_arc_with_cost(i, j, heights[i, j])
    if solver.solve() != solver.OPTIMAL:
        raise RuntimeError("an assignment of carriers that always exists was not found")
    return tuple(
        Turn(chain.sources[i], chain.targets[j], heights[i, j])
        for i in range(len(chain.sources))
        for j in [solver.right_mate(i)]
    )
