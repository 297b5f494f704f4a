"""How lateness of a list of several hoists goes on in the cycles after it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ....graph.lateness import exceeded_above
from ..ordered import in_order_of
from ..waits import Waits
from .limits import Buffers
from .onward import Onward
from .waits import OnceWaits


class Beyond:
    """From which motions of some cycles after a list are late to what is late after them.

    Parameters
    ----------
    onward : Onward
        The cycle.
    first : sequence of int
        By hoist: how many motions the list has.
    waits : OnceWaits
        Of the list and those cycles, in grid time of their own.
    """

    def __init__(self, onward: Onward, first: Sequence[int], waits: OnceWaits) -> None:
        rows = onward.rows
        seen = rows.found.strict
        cyclic = Waits(seen.plan, rows.made, in_order_of(seen.plan, rows.made))
        self.first, self.made = first, rows.made
        self.cycles = min(
            (len(shown) - before) // len(made)
            for shown, before, made in zip(waits.motions, first, rows.made, strict=True)
            if made
        )
        self.plan, self.numbers = cyclic.timed(seen.schedule)
        turns = {event: cyclic.planned(event) // cyclic.cycle for event in self.numbers}
        self.turns, self.least, self.most = turns, min(turns.values()), max(turns.values())
        clock = waits.course.table.clock
        self.scale = Fraction(self.plan.per_unit, clock.per_unit)

    def __call__(self, buffers: Buffers) -> int | None:
        """The lateness above which a maximum is exceeded after those cycles; None: however late.

        Parameters
        ----------
        buffers : dict
            Of :meth:`.limits.Lateness.followed`.
        """
        known: dict[int, list[int | None]] = {
            cycle: [None] * len(self.plan) for cycle in range(self.most, self.cycles + self.least)
        }
        for (hoist, number, part), buffer in buffers.items():
            if number < self.first[hoist]:
                continue
            cycle, place = divmod(number - self.first[hoist], len(self.made[hoist]))
            event = hoist, place, part
            cycle += self.turns[event]
            if cycle in known:
                known[cycle][self.numbers[event]] = (buffer * self.scale) // 1
        above = exceeded_above(self.plan, [known[cycle] for cycle in sorted(known)])
        return None if above is None else (above / self.scale) // 1
