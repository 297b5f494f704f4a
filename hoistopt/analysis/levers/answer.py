"""What one limit of a line, and each of them, would do to its cycle time by giving way."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ...base.numbers.decimals import told
from ...instance.limits import Limit
from ...problem import Problem
from ...schedule import Schedule

How = Literal["bound", "group", "search", "stopped"]


@dataclass(frozen=True)
class Threshold:
    """How far a limit must give way before the cycle gets shorter.

    Attributes
    ----------
    proved_idle : Decimal or None
        The cycle is proved to get no shorter before the limit has this figure; None:
        however far it goes, and `pays` is None as well.
    pays : Decimal or None
        With this figure it does get shorter: there is a schedule. None: none was found.
    """

    proved_idle: Decimal | None
    pays: Decimal | None

    @property
    def never(self) -> bool:
        """Whether it is proved that the limit gains nothing, however far it may go."""
        return self.proved_idle is None

    @property
    def settled(self) -> bool:
        """Whether it is known exactly."""
        return self.proved_idle == self.pays


@dataclass(frozen=True)
class Lever:
    """What one limit would do by giving way; times in the problem's unit.

    Everything is tried from today's best schedule, which stays possible or can be gone
    back to: nothing shown is worse than doing nothing.

    Attributes
    ----------
    limit : Limit
    new : Decimal
        What the limit is changed to: by the amount asked for, or to its threshold where
        that amount is proved to gain nothing and the threshold gains something.
    cycle_time : Fraction
        The shortest cycle time known with it; today's where none is shorter.
    bound : Fraction
        No cycle can be shorter with it: proved.
    gain_least, gain_most : Fraction
        The cycle time falls by at least and at most that much; equal where proved.
    how : str
        How that is known: "bound" (a bound that the change leaves alone), "group" (one
        search over many limits, of which any one may give way), "search", or "stopped".
    beyond : bool
        Whether `new` is beyond the amount asked for.
    threshold : Threshold or None
        None where it was not looked for.
    problem, schedule : Problem and Schedule, or None
        The changed line and its schedule, which the checker has accepted; None where it is
        today's.
    """

    limit: Limit
    new: Decimal
    cycle_time: Fraction
    bound: Fraction
    gain_least: Fraction
    gain_most: Fraction
    how: How
    beyond: bool = False
    threshold: Threshold | None = None
    problem: Problem | None = None
    schedule: Schedule | None = None

    @property
    def words(self) -> str:
        """The change, for people."""
        return self.limit.words(self.new)

    @property
    def proven(self) -> bool:
        """Whether the gain is known exactly."""
        return self.gain_least == self.gain_most

    @property
    def idle(self) -> bool:
        """Whether it is proved to gain nothing."""
        return self.gain_most == 0


@dataclass(frozen=True)
class Levers:
    """The levers of a line, the best first; times in the problem's unit.

    Attributes
    ----------
    status : str
        Of the line as it is: "optimal", "feasible", "infeasible" or "unknown".
    degree : int
    unit : str
    cycle_time : Fraction or None
        Of the line as it is, or the shortest found.
    bound : Fraction or None
        The proved bound below it.
    levers : tuple of Lever
        By what they gain at least, then by what they may gain.
    runtime : float
        Seconds.
    reason : str or None
        Why the line has no schedule at all.
    loads_per_cycle : int
    seconds_per_unit : Decimal
    """

    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    degree: int
    unit: str
    cycle_time: Fraction | None = None
    bound: Fraction | None = None
    levers: tuple[Lever, ...] = ()
    runtime: float = 0.0
    reason: str | None = None
    loads_per_cycle: int = 0
    seconds_per_unit: Decimal = Decimal(1)

    def loads_per_hour(self, cycle_time: Fraction) -> Fraction:
        """Loads in an hour at a cycle time."""
        return self.loads_per_cycle * 3600 / (cycle_time * Fraction(self.seconds_per_unit))

    def gained_per_hour(self, gain: Fraction) -> Fraction | None:
        """Loads an hour more than today with a cycle shorter by so much; None: no bound."""
        assert self.cycle_time is not None
        if gain >= self.cycle_time:
            return None
        return self.loads_per_hour(self.cycle_time - gain) - self.loads_per_hour(self.cycle_time)

    def sentence(self) -> str:
        """Where the line stands, as it is."""
        if self.cycle_time is None:
            none = f"The line has no schedule of degree {self.degree}."
            return {
                "infeasible": f"{none} {self.reason or ''}".strip()
                + " `hoistopt conflict` tells what would help.",
            }.get(self.status, "Stopped before the line's own cycle time was known.")
        hourly = float(self.loads_per_hour(self.cycle_time))
        stands = (
            f"As the line is, a cycle takes {told(self.cycle_time)} {self.unit} "
            f"({hourly:.2f} loads/h)"
        )
        if self.status == "optimal":
            return f"{stands}, the least at degree {self.degree}."
        return (
            f"{stands}, not proved to be the least (bound {told(self.bound or Fraction(0))}): "
            "part of a gain may be had without the change."
        )
