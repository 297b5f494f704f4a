"""Whether a chain of moves is possible, and what its last move adds; compiled."""

from __future__ import annotations

import numpy as np

from ..compiled import compiled
from .kinds import Ints


@compiled
def possible(
    chains: Ints, step: Ints, gap: Ints, ends: Ints, begins: Ints, least: Ints, most: Ints,
    fills: Ints, clears: Ints,
) -> Ints:  # fmt: skip
    """Whether each chain keeps all rules that can be seen from it.

    Parameters
    ----------
    chains : array (chains, length)
        Kinds of moves. Each without its first move, and without its last, is possible.

    Returns
    -------
    array (chains,) of bool
    """
    count, length = chains.shape
    kept = np.empty(count, np.bool_)
    times = np.empty(length, np.int64)
    for c in range(count):
        chain = chains[c]
        kept[c] = _in_turn(chain, begins, fills, clears) and _in_time(
            chain, step, gap, ends, begins, least, most, times
        )
    return kept


@compiled
def _in_turn(chain: Ints, begins: Ints, fills: Ints, clears: Ints) -> bool:
    """Whether what the first move leaves behind agrees with the last move, tank by tank.

    After it fills a tank, the next move to or from there lifts that load; after it clears
    one, the next move there fills it.
    """
    first, last = chain[0], chain[-1]
    for tank, filled in ((fills[first], True), (clears[first], False)):
        if tank < 0 or tank not in (fills[last], clears[last]):
            continue
        between = False
        for kind in chain[1:-1]:
            between = between or tank in (fills[kind], clears[kind])
        if between:
            continue
        if filled and last != begins[first]:
            return False
        if not filled and fills[last] != tank:
            return False
    return True


@compiled
def _in_time(
    chain: Ints, step: Ints, gap: Ints, ends: Ints, begins: Ints, least: Ints, most: Ints,
    times: Ints,
) -> bool:  # fmt: skip
    """Whether some times keep every window: no circuit of positive length (Bellman and Ford)."""
    length = len(chain)
    times[:] = 0
    for _ in range(length + 1):
        moved = False
        for j in range(length):
            kind = chain[j]
            soonest = times[j]
            for i in range(j):
                ahead = step[chain[i], kind] if i == j - 1 else gap[chain[i], kind]
                soonest = max(soonest, times[i] + ahead)
            arrival = -1
            if ends[kind] >= 0:
                for i in range(j - 1, -1, -1):
                    if chain[i] == ends[kind]:
                        arrival = i
                        break
                if arrival >= 0:
                    soonest = max(soonest, times[arrival] + least[ends[kind]])
            if soonest > times[j]:
                times[j], moved = soonest, True
            if ends[kind] >= 0:
                # A load cannot be lifted too late: what comes before must not be too early.
                since, latest = 0, most[ends[kind]]
                if arrival >= 0:
                    since = arrival
                else:  # it was set down before the chain begins
                    latest -= gap[ends[kind], chain[0]]
                if times[j] - latest > times[since]:
                    times[since], moved = times[j] - latest, True
        for i in range(length):
            after = begins[chain[i]]
            if after < 0:
                continue
            lifted = False
            for j in range(i + 1, length):
                lifted = lifted or chain[j] == after
            if not lifted:  # it will be, after the chain
                latest = most[chain[i]] - gap[chain[-1], after]
                if times[-1] - latest > times[i]:
                    times[i], moved = times[-1] - latest, True
        if not moved:
            return True
    return False


@compiled
def added(chains: Ints, step: Ints, ends: Ints, least: Ints) -> Ints:
    """What the last move of each chain adds to the cycle at the least, in ticks.

    Only the time from one move to the next is counted, and minimum dwells whose both ends
    are seen from one chain. With every move as soon as these allow, a move may come later than
    its chain shows for one reason: its load was set down before the chain. However late
    such a move is, what the last one adds is no less than if the chain began with it, or
    than if it is not late at all.

    Returns
    -------
    array (chains,)
    """
    count, length = chains.shape
    least_added = np.empty(count, np.int64)
    times = np.empty(length, np.int64)
    for c in range(count):
        chain = chains[c]
        best = np.int64(1 << 60)
        for begin in range(length - 1):
            if begin > 0 and not _may_be_late(chain, begin, ends):
                continue
            times[begin] = 0
            for j in range(begin + 1, length):
                soonest = times[j - 1] + step[chain[j - 1], chain[j]]
                for i in range(j - 1, begin - 1, -1):
                    if chain[i] == ends[chain[j]]:
                        soonest = max(soonest, times[i] + least[chain[i]])
                        break
                times[j] = soonest
            best = min(best, times[length - 1] - times[length - 2])
        least_added[c] = best
    return least_added


@compiled
def _may_be_late(chain: Ints, place: int, ends: Ints) -> bool:
    arrival = ends[chain[place]]
    if arrival < 0:
        return False
    for i in range(place):  # noqa: SIM110  # compiled code has no generators
        if chain[i] == arrival:
            return False
    return True
