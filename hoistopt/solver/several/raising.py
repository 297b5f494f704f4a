"""Raise the bound: refute cycle times on the whole model, from the shortest up."""

from __future__ import annotations

from ...base.clock import Clock
from ...instance import Instance
from .incumbent import GivingWay
from .looks import look

FIRST_WORK, HARDER = 0.25, 1.5
"""CP-SAT's work on one span at first, in its own measure, a quarter of which is about a second;
and how much more goes into the next after one that was not searched to its end."""
FIRST_SPAN, WIDER, NARROWER = 0.1, 1.5, 0.5
"""Cycle times looked at together, as a share of the bound; and how that changes once a span was
refuted, or was not."""


class Raising:
    """Refutes one span of cycle times after another, each beginning at the bound.

    Within a narrow span every dwell ties two moves closely, so CP-SAT sees far more than for
    all cycle times at once.

    Attributes
    ----------
    impossible : bool
        Whether no cycle time is possible at all.
    """

    def __init__(self, instance: Instance, incumbent: GivingWay) -> None:
        self.instance, self.incumbent = instance, incumbent
        self.impossible = False
        self._work, self._span = FIRST_WORK, FIRST_SPAN

    def turn(self, clock: Clock) -> None:
        """Look at the next span.

        Raises
        ------
        OutOfTime
            When the clock is over before the model is built.
        """
        incumbent = self.incumbent
        low, top = incumbent.bound, incumbent.longest
        high = min(top, low + round(low * self._span))
        status = look(self.instance, incumbent, clock, self._work, whole=True, longest=high)
        if status == "infeasible":
            self.impossible = incumbent.schedule is None and high == top
            self._span *= WIDER
        elif status == "unknown":
            self._span *= NARROWER
            self._work *= HARDER
