"""The shortest schedule that can be run: few enough loads out of window under the scatter."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..base.clock import Clock
from ..checker import Replay, accepted
from ..instance import Instance
from ..problem import Problem
from ..schedule import Schedule
from ..solver.lexicographic import limited, settle
from .figures import MarginFigures, margin_figures

USUAL_SECONDS = 5.0
"""What the search for a schedule that can be run may take where nothing else is said."""

ALLOWANCES = (0, 1, 2, 3, 5, 8)
"""By how many percent a cycle may be longer than the least, as they are tried in turn."""


@dataclass(frozen=True)
class Runnable:
    """The shortest schedule found that can be run.

    Attributes
    ----------
    schedule : Schedule
        The checker has accepted it.
    replay : Replay
        What the checker saw.
    margin : MarginFigures
        What it forgives: tightest slack and float, share of loads out of window.
    found : str
        How it was found, in words for people.
    """

    schedule: Schedule
    replay: Replay
    margin: MarginFigures
    found: str

    @property
    def cycle_time(self) -> int | float:
        """Its cycle time, in the problem's unit."""
        return self.schedule.cycle_time

    @property
    def met(self) -> bool:
        """Whether no larger share of loads is out of window than is tolerated; where none
        such was found, this is the schedule with the smallest share."""
        return self.margin.met


def find_runnable(
    problem: Problem, instance: Instance, least: Schedule, seen: Replay, clock: Clock
) -> Runnable:
    """The shortest schedule, of those tried until the clock is over, that can be run.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line, and its instance of the degree of the schedule.
    least : Schedule
        The schedule of the least cycle time, on the grid of the instance.
    seen : Replay
        The checker's, of that schedule.
    clock : Clock
    """
    best = Runnable(least, seen, margin_figures(problem, seen, clock), "the least cycle itself")
    for number, percent in enumerate(ALLOWANCES):
        if best.met or clock.over:
            break
        longest = int(least.cycle * Fraction(100 + percent, 100))
        each = None if clock.left is None else clock.left / (2 * (len(ALLOWANCES) - number))
        settled = settle(
            limited(instance, longest), ("float", "slack", "cycle"), clock, each=each, known=least
        )
        if settled.schedule is None or len(settled.attained) < 2:
            continue
        replay = accepted(problem, settled.schedule, made_here=True)
        found = Runnable(
            settled.schedule,
            replay,
            margin_figures(problem, replay, clock),
            f"most float, then slack, within {percent} % of the least cycle time",
        )
        if found.margin.out_of_window.share < best.margin.out_of_window.share:
            best = found
    return best
