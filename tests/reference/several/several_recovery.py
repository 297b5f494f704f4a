"""The least loss of two hoists from a state by brute force: every set of loads lost, tick by tick.

For each set, cheapest first, all that loads and hoists may do is followed as in
:mod:`.several_once`. Whether there is any way at all is asked with loads that are lost never
counted as late, so that what may be going on is finite; then how little they overstay, and the
earliest finish of that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations, groupby

from .several import TwoHoists
from .several_once import Doing, Load, Mask, Track, tick_later

Loss = tuple[Fraction, int, int]
"""Weight of the loads lost, ticks by which they stand too long in all, and the finish."""


def least_loss(
    line: TwoHoists,
    standing: Sequence[tuple[int, str, int]],
    weights: Sequence[Fraction],
    begins: tuple[int, int],
    entering: int = 0,
    out: int | None = None,
) -> Loss | None:
    """The best there is; None where there is no way even with all loads in the line lost.

    Parameters
    ----------
    standing : sequence of (int, str, int)
        Loads in the line: stage, tank, and for how long it has stood there.
    weights : sequence of Fraction
        What each counts.
    begins : (int, int)
        Positions of both hoists at first.
    entering : int
        Loads that may enter from the first on.
    out : int, optional
        A hoist that is out of service, and stays where it is.
    """
    track = Track(line, out)
    mask = track.first_mask(begins)

    def weight(lost: frozenset[int]) -> Fraction:
        return sum((weights[load] for load in lost), Fraction(0))

    sets = sorted(_sets(len(standing)), key=weight)
    for least, alike in groupby(sets, key=weight):
        found = []
        for lost in alike:
            loads = [
                Load(stage, tank, stood, number in lost)
                for number, (stage, tank, stood) in enumerate(standing)
            ]
            if any(track.overstays(load) and not load.lost for load in loads):
                continue
            loads += [Load(0, "In", 0)] * entering
            if _any_way(track, loads, mask):
                found.append(_least_over(track, loads, mask))
        if found:
            return (least, *min(found))
    return None


def _sets(count: int) -> Iterator[frozenset[int]]:
    for size in range(count + 1):
        yield from map(frozenset, combinations(range(count), size))


def _doing(loads: list[Load], over: int) -> Doing:
    return Doing(tuple(sorted(loads, key=str)), (None, None), over)


def _any_way(track: Track, loads: list[Load], mask: Mask) -> bool:
    """Whether all get through, however long those that are lost stand."""
    now = {_doing([_unhurried(track, load) for load in loads], 0): mask}
    seen: dict[Doing, Mask] = {}
    while now:
        if any(not doing.loads for doing in now):
            return True
        after: dict[Doing, Mask] = {}
        for doing, where in tick_later(track, now).items():
            free = doing._replace(
                loads=tuple(sorted((_unhurried(track, load) for load in doing.loads), key=str)),
                over=0,
            )
            where = where | after[free] if free in after else where
            after[free] = where
        now = {}
        for doing, where in after.items():
            fresh = where & ~seen[doing] if doing in seen else where
            if fresh.any():
                now[doing] = where
                seen[doing] = where | seen[doing] if doing in seen else where
    return False


def _unhurried(track: Track, load: Load) -> Load:
    """A load that is lost has stood no longer than it must."""
    if not load.lost or not load.made or not isinstance(load.place, str):
        return load
    return load._replace(stood=min(load.stood, track.line.stages[load.made - 1][1]))


def _least_over(track: Track, loads: list[Load], mask: Mask) -> tuple[int, int]:
    """How little those that are lost overstay in all, and the earliest finish of that.

    Looked for among what overstays by no more than some time, then twice as long, and so on.
    """
    begins = sum(
        max(0, load.stood - track.line.stages[load.made - 1][2]) for load in loads if load.made
    )
    more = 2
    while (best := _over_within(track, loads, mask, begins, begins + more)) is None:
        more *= 2
    return best


def _over_within(
    track: Track, loads: list[Load], mask: Mask, begins: int, most: int
) -> tuple[int, int] | None:
    """The same; None where all overstay by more than that."""
    now, best, tick = {_doing(loads, begins): mask}, None, 0
    while now:
        done = min((doing.over for doing in now if not doing.loads), default=None)
        if done is not None:
            best, most = (done, tick), done - 1
        now = {doing: where for doing, where in now.items() if doing.loads and doing.over <= most}
        now, tick = tick_later(track, now), tick + 1
        now = {doing: where for doing, where in now.items() if doing.over <= most}
    return best
