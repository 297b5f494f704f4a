"""How a programme ends in a cycle that goes on for ever, plain data."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from .data import Route


@dataclass(frozen=True)
class Join:
    """The end of a programme that goes on as a cycle for ever.

    From the joining on the hoist makes every move of the cycle, at its time, and no other.

    Attributes
    ----------
    tied : dict of int to int
        By move of the cycle: ticks from the joining to its start. The first of them is 0;
        every other move of the instance is over, and the hoist back, before the first. Of
        several hoists they have begun before it.
    first_out : int
        Ticks from the joining until the first load of the cycle is set down, out of the line.
    leaving : frozenset of int
        Moves that set down, out of the line, loads of recipes that the cycle does not carry.
        Where there are any the time from the last of them to the first load of the cycle is
        to be least, and then the joining; else the joining.
    usual : dict of int to (int, Route)
        Of loads that enter before the joining, their moves before it as the cycle makes
        them: ticks from the joining, below 0, and the way.
    onward : Onward or None
        Of several hoists, what they do in a cycle.
    """

    tied: dict[int, int]
    first_out: int
    leaving: frozenset[int]
    usual: dict[int, tuple[int, Route]]
    onward: Onward | None = None


@dataclass(frozen=True)
class Onward:
    """What several hoists do in a cycle that is made over and over.

    Attributes
    ----------
    every : int
        The cycle time, in ticks.
    moves : tuple of (int, Route)
        All moves of a cycle: ticks from the joining, below the cycle time, and the way.
    travels : tuple of (Fraction, int, Fraction)
        The empty travels stated: ticks from the joining, below the cycle time; the hoist, and
        the position to which it leads.
    """

    every: int
    moves: tuple[tuple[int, Route], ...]
    travels: tuple[tuple[Fraction, int, Fraction], ...]
