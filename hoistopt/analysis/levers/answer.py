"""What one change of a line, and each of them, would do to its cycle time."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ...base.decimals import told
from ...schedule import readable
from .pulls import Pull

How = Literal["bound", "group", "search", "stopped", "none"]


@dataclass(frozen=True)
class Lever:
    """What one change of the line would do; times in the problem's unit.

    Attributes
    ----------
    pull : Pull
        The change.
    cycle_time : Fraction or None
        The shortest cycle time found with it; None where none below today's was.
    bound : Fraction
        No cycle can be shorter with it: proved.
    gain_least, gain_most : Fraction or None
        The cycle time falls by at least and at most that much; equal where proved.
        Below 0 where the change does harm; None where it may do any.
    how : str
        How that is known: "bound" (a bound that the change leaves alone), "group" (a
        search in which this and other changes together did not help), "search", or
        "stopped". "none": proved that there is no schedule at all with the change.
    """

    pull: Pull
    cycle_time: Fraction | None
    bound: Fraction
    gain_least: Fraction | None
    gain_most: Fraction | None
    how: How

    @property
    def proven(self) -> bool:
        """Whether the gain is known exactly."""
        return self.how != "stopped" or self.gain_least == self.gain_most


@dataclass(frozen=True)
class Levers:
    """The levers of a line, the best first; times in the problem's unit.

    Attributes
    ----------
    status : str
        Of the line as it is: "optimal", "feasible", "infeasible" or "unknown".
    cycle_time : Fraction or None
        Of the line as it is, or the shortest found.
    bound : Fraction or None
        The proved bound below it.
    levers : tuple of Lever
        By what they gain at least, then by what they may gain.
    reason : str or None
        Why the line has no schedule at all.
    """

    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    degree: int
    unit: str
    cycle_time: Fraction | None = None
    bound: Fraction | None = None
    levers: tuple[Lever, ...] = ()
    runtime: float = 0.0
    reason: str | None = None

    def sentence(self) -> str:
        """Where the line stands today."""
        if self.cycle_time is None:
            none = f"The line has no schedule of degree {self.degree}."
            return {
                "infeasible": f"{none} {self.reason or ''}".strip()
                + " `hoistopt conflict` tells what would help.",
            }.get(self.status, "Stopped before the line's own cycle time was known.")
        today = f"Today's cycle time is {told(self.cycle_time)} {self.unit}"
        if self.status == "optimal":
            return f"{today}, the least at degree {self.degree}."
        return (
            f"{today}, not proved to be the least (bound {told(self.bound or Fraction(0))}): "
            "part of a gain may be had without the change."
        )


def _readable(time: Fraction | None) -> int | float | None:
    return None if time is None else readable(time)


def _plain(value: Decimal | None) -> int | float | None:
    return None if value is None else readable(Fraction(value))
