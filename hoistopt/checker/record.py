"""What a replay saw: the hoist's doings, the carriers' stays, the broken rules.

All times are exact fractions in the problem's unit, counted from the start of the
first cycle of the replay.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from ..base.errors import HoistoptError
from ..base.notebook import ShownInNotebook
from ..base.text import counted
from ..problem import Problem
from ..schedule import Schedule, readable
from .plan import Plan

Rule = Literal[
    "window",
    "double occupation",
    "rest",
    "hoist in two places",
    "clearance",
    "impossible move",
    "order of leaving",
    "carriers",
    "mix",
    "cycle time",
    "margin",
    "repetition",
]


@dataclass(frozen=True, repr=False)
class Violation:
    """One broken rule with its figures.

    Parameters
    ----------
    rule : str
        Which rule is broken.
    message : str
        The whole of it in a sentence, figures and unit included.
    station : str
        Where.
    step : int
        Number of the step, from 1, in order of time in the cycle; 0 for a fault of the
        whole cycle, such as the mix, which has no station either.
    cycle : int
        Cycle of the replay, from 1: the first in which this fault shows.
    time : Fraction
        When, from the start of the replay.
    found, limit : Fraction or None
        The figure seen and the one the rule allows, where the rule has figures: times,
        numbers of carriers for "double occupation" and "carriers", or distances between
        hoists in the problem's unit of length for "clearance".
    travel : int or None
        Number of the travel to give way, from 1, where that breaks the rule and no step does.
    """

    rule: Rule
    message: str
    station: str
    step: int
    cycle: int
    time: Fraction
    found: Fraction | None = None
    limit: Fraction | None = None
    travel: int | None = None

    @property
    def distances(self) -> bool:
        """Whether `found` and `limit` are distances."""
        return self.rule == "clearance"

    def __str__(self) -> str:
        return self.message

    def __repr__(self) -> str:
        return f"<Violation of {self.rule!r}: {self.message}>"


@dataclass(frozen=True)
class CarrierStay:
    """A carrier standing in a station, from set down to lifted.

    `stage` is 0 at the load station, 1.. along the recipe, and one more than the last
    at the unload station. A carrier that stands at a shared load-unload station until
    the hoist lifts it again is recorded with the load it leaves with, as stage 0.
    `until` is None while the carrier still stood there at the end of the replay (or was
    taken from the line by hand at an unload station). `arrived_by` and `left_by` number
    the steps of the cycle, from 1; `arrived_by` is None where a carrier was put there by
    hand, which may have been before the start of the replay: `since` is then below 0.
    `eased` is how far `most` lies above the stage's maximum: a fixed dwell is kept to
    within a tick where the move before it takes no whole number of ticks.
    """

    carrier: int
    recipe: str
    load: int
    stage: int
    label: str
    station: str
    since: Fraction
    until: Fraction | None
    least: Fraction
    most: Fraction | None
    arrived_by: int | None
    left_by: int | None
    phase: Literal["fill", "steady", "run-out"]
    eased: Fraction = Fraction(0)

    @property
    def dwell(self) -> Fraction | None:
        """Time the carrier stood there."""
        return None if self.until is None else self.until - self.since


class Refusal(HoistoptError):
    """The checker refuses a list of moves.

    Parameters
    ----------
    what : str
        "schedule" or "programme".
    violations : tuple of Violation
        One at least.
    made_here : bool
        Whether hoistopt itself made it: then the fault is its own.
    """

    def __init__(self, what: str, violations: tuple[Violation, ...], *, made_here: bool) -> None:
        self.made_here = made_here
        first, *others = violations
        verdict = f"refused the {what}" if made_here else f"refuses this {what}"
        more = f" ({len(others)} more)" if others else ""
        super().__init__(f"the checker {verdict}: {first}{more}")


@dataclass(frozen=True)
class HoistRun:
    """One loaded move as the hoist made it, with the empty travel before it.

    `step` and `cycle` count from 1. `travel` includes settling; of a move whose time
    comes from a table only `drip` is known apart.
    `start` is when lifting starts; the hoist left `came_from` no earlier than it was
    free there, travelled `empty` and waited `waited` at the source before lifting, which
    is below 0 where the schedule asks the hoist to be in two places. `hoist` is the name of
    the one that made it, where there are several: `empty` then counts all of its travels since
    the move before, and `waited` all its rests, wherever.
    """

    step: int
    cycle: int
    carrier: int
    recipe: str
    load: int
    stage: int
    source: str
    target: str
    start: Fraction
    end: Fraction
    lift: Fraction | None
    drip: Fraction
    travel: Fraction | None
    lower: Fraction | None
    came_from: str | None
    empty: Fraction
    waited: Fraction
    phase: Literal["fill", "steady", "run-out"]
    hoist: str | None = None


@dataclass(frozen=True, repr=False)
class Replay(ShownInNotebook):
    """Everything a replay saw; times in the problem's unit, exact.

    Attributes
    ----------
    cycle_time : Fraction
        Of the schedule.
    violations : tuple of Violation
        Every broken rule, in order of time; empty when clean.
    runs : tuple of HoistRun
        The hoist's loaded moves, with the empty travel before each.
    stays : tuple of CarrierStay
        The carriers' stays in stations.
    cycles : int
        All cycles replayed, run-out included.
    steady_from, steady_cycles : int
        Which whole cycles repeat one another: cycles ``steady_from`` to
        ``steady_from + steady_cycles - 1``, counted from 0.
    carriers_needed : int
        Carriers circulating in the steady state; empty ones on their way back included.
    skipped : tuple of (int, int)
        Cycle and step, both from 1, of every step not executed for want of its carrier.
    plan : Plan
        What each step was taken to do, in the checker's exact grid time: whoever is
        handed a replay need not make it again.
    """

    cycle_time: Fraction
    violations: tuple[Violation, ...]
    plan: Plan = field(repr=False, compare=False)
    runs: tuple[HoistRun, ...] = ()
    stays: tuple[CarrierStay, ...] = ()
    cycles: int = 0
    steady_from: int = 0
    steady_cycles: int = 0
    carriers_needed: int = 0
    skipped: tuple[tuple[int, int], ...] = field(default=())

    @property
    def clean(self) -> bool:
        """Whether no rule was broken."""
        return not self.violations

    @property
    def problem(self) -> Problem:
        """The line it was replayed on."""
        return self.plan.table.problem

    @property
    def schedule(self) -> Schedule:
        """The schedule that was replayed."""
        return self.plan.table.schedule

    def __repr__(self) -> str:
        broken = len(self.violations)
        found = "clean" if self.clean else f"{counted(broken, 'rule')} broken"
        return f"<Replay: {found} in {self.cycles} cycles of {readable(self.cycle_time)}>"
