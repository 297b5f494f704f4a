"""A schedule: moves in time, in exact ticks. Nothing here knows a rule of the line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..base.notebook import ShownInNotebook


@dataclass(frozen=True, slots=True)
class Step:
    """One loaded move of the repeating pattern, or of a programme.

    Parameters
    ----------
    start : int
        Tick of the cycle at which lifting starts, ``0 <= start < cycle``; of a programme,
        the tick from its beginning.
    source, target : str
        Station names.
    recipe : str, optional
        Recipe of the load carried; needed only where a line has several.
    load : int, optional
        Which load of the cycle this is, counted from 1 in order of entering; of a
        programme, the number of the load.
    stage : int, optional
        Stage the load leaves: 0 the load station, then 1, 2, ... along its recipe;
        one more than the last stage for an empty carrier on its way back.
    boundaries : int, optional
        How many times the cycle restarts between the start of the move that brought
        this carrier to `source` and the start of this one. Means nothing in a programme.
    hoist : str, optional
        Name of the hoist that makes the move; needed only where a line has several.

    Examples
    --------
    >>> from hoistopt import Step
    >>> Step(start=207, source="Passivate", target="Rinse").start
    207
    """

    start: int
    source: str
    target: str
    recipe: str | None = None
    load: int | None = None
    stage: int | None = None
    boundaries: int | None = None
    hoist: str | None = None


@dataclass(frozen=True, slots=True)
class Travel:
    """An empty travel of one of several hoists that does not go straight on to its next move.

    Between two moves a hoist goes to where the next one begins, at once. Where it has to give
    way to another, or to wait until that has given way, its travels between the two are
    stated, all of them, the last one to where its next move begins.

    Parameters
    ----------
    start : Fraction
        Time in the cycle at which it leaves, in ticks, ``0 <= start < cycle``.
    hoist : str
        Name of the hoist.
    to : Fraction
        Position to which it travels, in the problem's unit of length.

    Examples
    --------
    >>> from fractions import Fraction
    >>> from hoistopt import Travel
    >>> Travel(Fraction(120), "Upstream", Fraction(3, 2)).to
    Fraction(3, 2)
    """

    start: Fraction
    hoist: str
    to: Fraction


class InTime:
    """What lists of moves in ticks have in common: kept in order of time, times told exactly."""

    ticks_per_unit: Fraction
    steps: tuple[Step, ...]

    def __post_init__(self) -> None:
        ordered = tuple(sorted(self.steps, key=lambda step: step.start))
        object.__setattr__(self, "steps", ordered)
        object.__setattr__(self, "ticks_per_unit", Fraction(self.ticks_per_unit))

    def __len__(self) -> int:
        return len(self.steps)

    def __iter__(self) -> Iterator[Step]:
        return iter(self.steps)

    def time(self, ticks: int | Fraction) -> Fraction:
        """A number of ticks in the problem's unit, exactly."""
        return Fraction(ticks) / self.ticks_per_unit


@dataclass(frozen=True, repr=False)
class Schedule(InTime, ShownInNotebook):
    """A cyclic move sequence.

    Parameters
    ----------
    cycle : int
        Cycle time in ticks.
    ticks_per_unit : Fraction
        Ticks in one time unit of the problem.
    steps : tuple of Step
        In order of `start`.
    travels : tuple of Travel
        Where there are several hoists: how they give way to one another.

    Examples
    --------
    >>> from fractions import Fraction
    >>> from hoistopt import Schedule, Step
    >>> there, back = Step(0, "Bench", "Wash"), Step(1200, "Wash", "Bench")
    >>> Schedule(cycle=2000, ticks_per_unit=Fraction(10), steps=(there, back))
    <Schedule: 2 moves, cycle time 200>
    """

    cycle: int
    ticks_per_unit: Fraction
    steps: tuple[Step, ...]
    travels: tuple[Travel, ...] = ()

    def __repr__(self) -> str:
        return f"<Schedule: {len(self.steps)} moves, cycle time {self.cycle_time}>"

    @property
    def cycle_time(self) -> int | float:
        """Cycle time in the problem's unit."""
        return readable(self.time(self.cycle))


def readable(time: Fraction) -> int | float:
    """An exact time as an int where it is whole, else as the nearest float."""
    return int(time) if time.denominator == 1 else float(time)
