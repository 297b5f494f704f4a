"""Annealing of a line with its groups of tanks merged, each into one station of as many places.

There a load has one way, and a repair may leave it in any of the places, which finds cycles that
rounds with the tanks of every load dealt before do not. What is found is unrolled, the tanks in
turn, and given times again. Rounds on the line as it is take turns with these: on some lines they
find more, and then come more often.
"""

from __future__ import annotations

from collections.abc import Iterable

from ....base.clock import Clock
from ....instance import Instance
from ....schedule import Schedule
from ...model.build import lowest_cycle
from ..incumbent import Incumbent
from ..starts.groups import groups_of, merged, retimed, unrolled
from .loads_rounds import LoadsAnnealing
from .paid import Paid

MERGED, LINE = 0, 1
HOPES = 1.5, 0.5
"""Numbers of the two ways; and what is hoped of each, as of :class:`.paid.Paid`."""


class MergedAnnealing:
    """Rounds on the merged line and on the line itself, each going on from where it was left.

    Parameters
    ----------
    instance : Instance
        Of a line with groups.
    incumbent : Incumbent
        Improved in place.
    known : iterable of Schedule
        Cycles of the merged line with as many loads, to begin with.
    """

    def __init__(
        self, instance: Instance, incumbent: Incumbent, clock: Clock, known: Iterable[Schedule]
    ) -> None:
        self._instance, self._incumbent, self._clock = instance, incumbent, clock
        self._groups = groups_of(instance)
        line = merged(instance, self._groups, careful=False)
        self._merged = Incumbent(max(1, line.shortest))
        self._merged.begin(lowest_cycle(line, clock))
        for schedule in known:
            self._merged.keep(schedule, [])
        self._paid = Paid(HOPES)
        self._on_merged = LoadsAnnealing(line, self._merged, clock)
        self._on_line = LoadsAnnealing(instance, incumbent, clock)

    def near(self, rounds: int) -> None:
        """Aim so often in every thread at cycle times near the best; less often if in vain."""
        on_merged = max(1, round(self._paid.shares[MERGED] * rounds))
        made, found = self._near_on_merged(on_merged)
        self._paid.tell(MERGED, made, found)
        on_line = max(1, rounds - on_merged) if made else rounds
        self._paid.tell(LINE, *self._on_line.near(on_line))

    def _near_on_merged(self, rounds: int) -> tuple[int, int]:
        """As :meth:`.LoadsAnnealing.near`; found is what made the line's own schedule better."""
        before = self._merged.schedule
        self._merged.improve(self._incumbent.best, None)  # what is longer is of no interest
        made, found = self._on_merged.near(rounds)
        schedule = self._merged.schedule
        if schedule is None or schedule is before:
            return made, 0
        cycle = unrolled(self._instance, self._groups, schedule, 1)
        timed = retimed(self._instance, cycle, self._clock)
        better = timed is not None and self._incumbent.keep(timed, [])
        return made, found if better else 0
