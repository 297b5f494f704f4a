"""How late a motion of one of several hoists may be, with waits for other hoists followed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...checker import Replay
from ...graph.lateness import for_good, spread
from .motions import Motion
from .ordered import in_order_of
from .waits import Waits


@dataclass(frozen=True)
class Limits:
    """How late a motion may start, in grid time; as :class:`~hoistopt.exports.lateness.Limits`.

    Attributes
    ----------
    latest : int
        For good, all others as planned.
    alarm : int or None
        Once, before some load exceeds a maximum; None: none does, however late it is.
    clock : int
        With a quarter to spare, and all on time again a cycle later.
    lasting : int or None
        Once, before some load that is set down later exceeds a maximum.
    """

    latest: int
    alarm: int | None
    clock: int
    lasting: int | None


def limits_of(seen: Replay, motions: Sequence[Sequence[Motion]]) -> dict[tuple[int, int], Limits]:
    """The limits of every motion of an accepted schedule, by hoist and number."""
    waits = Waits(seen.plan, motions, in_order_of(seen.plan, motions))
    plan, numbers = waits.timed(seen.schedule)
    found = {}
    for hoist, made in enumerate(motions):
        for number in range(len(made)):
            event = numbers[waits.first(hoist, number)]
            once = spread(plan, event)
            alone = None if once.breaks is None else once.breaks.above
            later = spread(plan, event, standing=False).breaks
            found[hoist, number] = Limits(
                latest=for_good(plan, event)[0],
                alarm=alone,
                clock=once.slips if alone is None else min(once.slips, alone - alone // 4),
                lasting=None if later is None else later.above,
            )
    return found
