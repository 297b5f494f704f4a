"""What is known of a given order of moves."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ...checker import Replay
from ...conflict import UnsatisfiableSubset
from ...schedule import Schedule, readable
from .deadlock import Deadlock


@dataclass(frozen=True)
class Ordered:
    """What a given order of moves can do; times in the problem's unit.

    Attributes
    ----------
    status : str
        "runs": with `cycle_time`. "cannot": proved that no times will do. "unknown":
        stopped before either.
    exact : bool
        With "runs": whether `cycle_time` is proved the least of this order.
    cycle_time : Fraction or None
        The least cycle time of this order, on the grid of planned times.
    schedule, replay : Schedule, Replay or None
        The order with its earliest starts, and what the checker saw of it.
    faults : tuple of str
        Why the order cannot work: steps that fit no recipe, places that would hold too
        many carriers; a sentence each.
    deadlock : Deadlock or None
        Why no times will do, as a sum, where the order leaves nothing else open.
    conflict : UnsatisfiableSubset or None
        What cannot be kept together in this order, where it does.
    degree : int or None
        Sets of loads per cycle.
    best : Fraction or None
        The shortest cycle time known of any order of that degree.
    best_bound : Fraction or None
        The proved bound below every order.
    """

    status: Literal["runs", "cannot", "unknown"]
    unit: str
    exact: bool = False
    cycle_time: Fraction | None = None
    schedule: Schedule | None = None
    replay: Replay | None = None
    faults: tuple[str, ...] = ()
    deadlock: Deadlock | None = None
    conflict: UnsatisfiableSubset | None = None
    degree: int | None = None
    best: Fraction | None = None
    best_bound: Fraction | None = None

    @property
    def behind(self) -> Fraction | None:
        """How much longer this order takes than the shortest cycle known."""
        if self.cycle_time is None or self.best is None:
            return None
        return self.cycle_time - self.best

    def sentences(self) -> list[str]:
        """The answer, a sentence each."""
        if self.status == "unknown":
            return ["Stopped before it was known whether this order can run."]
        if self.status == "cannot":
            reasons = list(self.faults)
            if self.deadlock is not None:
                reasons += self.deadlock.sentences()
            if self.conflict is not None:
                reasons.append(self.conflict.sentence())
            return ["This order cannot run.", *reasons]
        assert self.cycle_time is not None
        cycle = f"{readable(self.cycle_time)} {self.unit}"
        known = "its least" if self.exact else "not proved its least"
        return [f"This order runs with a cycle time of {cycle}, {known}.", *self._compared()]

    def _compared(self) -> list[str]:
        behind, best = self.behind, self.best
        if behind is None or best is None:
            if self.best_bound is not None:
                return [f"No order can be below {readable(self.best_bound)} {self.unit}."]
            return []
        proved = best == self.best_bound
        if behind <= 0 and proved:
            return [f"No order of degree {self.degree} is quicker: proved."]
        bound = "" if self.best_bound is None else readable(self.best_bound)
        if behind <= 0:
            return [
                f"No quicker order of degree {self.degree} was found; none can be below "
                f"{bound} {self.unit}."
            ]
        least = "The least of any order" if proved else "The shortest cycle found"
        return [
            f"{least} of degree {self.degree} is {readable(best)} {self.unit}: this order takes "
            f"{readable(behind)} {self.unit}, or {float(behind / best):.1%}, longer."
            + ("" if proved else f" (None can be below {bound} {self.unit}.)")
        ]
