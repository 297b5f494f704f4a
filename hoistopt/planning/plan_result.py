"""What a planning gives back."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from ..base.notebook import ShownInNotebook
from ..base.numbers.decimals import told
from ..base.text import listed, plural
from ..checker import ProgrammeReplay
from ..conflict import UnsatisfiableSubset
from ..problem import Problem
from ..schedule import Programme
from .result import Status


@dataclass(frozen=True)
class Recovery:
    """What a recovery gives up; bounds are below every programme from the state.

    Attributes
    ----------
    lost : tuple of int
        Loads that stand longer than a maximum, by number.
    weight, least_weight : int or float
        What they count in all, and its bound.
    overstay, least_overstay : int or float
        By how much they stand too long in all, in planned times (a dwell may in truth differ
        by a tick) and the problem's unit; and its bound among programmes that lose as little.
    """

    lost: tuple[int, ...]
    weight: int | float
    least_weight: int | float
    overstay: int | float
    least_overstay: int | float

    @property
    def proven(self) -> bool:
        """Whether none can lose fewer, or overstay less."""
        return (self.weight, self.overstay) == (self.least_weight, self.least_overstay)


@dataclass(frozen=True, repr=False)
class Plan(ShownInNotebook):
    """The answer to one planning; times in the problem's unit, from the moment of the state.

    Attributes
    ----------
    status : str
        "optimal": nothing is lost or late that need not be, and `finish` is proven least.
        "feasible": a programme, stopped before the proof. "infeasible": proven that there
        is none. "unknown": stopped before either.
    finish : int, float or None
        When the last move is over.
    lower_bound : int, float or None
        No programme is over earlier; where orders have due times, none that is as little
        late.
    lateness : float or None
        Sum over all loads of weight times lateness, in planned times; None where no order
        has a due time.
    least_lateness : float or None
        No programme has less.
    programme : Programme or None
        The moves; the checker has accepted them.
    replay : ProgrammeReplay or None
        What the checker saw.
    orders : dict of int to str
        Name of the order of each load that enters.
    runtime : float
        Seconds spent in the search.
    reason : str or None
        Why there is no programme, or none was found.
    problem : Problem or None
        The line.
    promised : tuple of int
        Loads whose times were given and kept.
    at_once : bool
        Whether the others were placed beside them one after another, without a search: see
        :func:`hoistopt.place_next`.
    due : dict of int to Fraction
        When each load that has a due time is due, down to a tick.
    recovery : Recovery or None
        What is given up, where a recovery was asked for.
    conflict : UnsatisfiableSubset or None
        With status "infeasible": what cannot be kept together, as far as it was found.
    recoverable : bool
        With status "infeasible": whether a recovery that gives up loads may help.
    in_step : int, float or None
        Where the programme goes over into a cycle: from when on the hoist makes every move
        of the cycle, at its time, and no other. It is what is least then, or comes next to
        the changeover time, and `lower_bound` and `gap` are those of it.
    changeover_time : int, float or None
        From the last load out of the line of a recipe that the cycle does not carry to the
        first load out of the cycle; None where there are no such loads.
    least_changeover_time : int, float or None
        No programme has less.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt import Order
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> hoistopt.plan(problem, [Order("Cases", count=2)]).status
    'optimal'
    """

    status: Status
    finish: int | float | None
    lower_bound: int | float | None
    lateness: float | None
    least_lateness: float | None
    programme: Programme | None
    replay: ProgrammeReplay | None
    orders: dict[int, str]
    runtime: float
    reason: str | None = None
    problem: Problem | None = None
    promised: tuple[int, ...] = ()
    at_once: bool = False
    due: dict[int, Fraction] = field(default_factory=dict)
    recovery: Recovery | None = None
    conflict: UnsatisfiableSubset | None = None
    recoverable: bool = False
    in_step: int | float | None = None
    changeover_time: int | float | None = None
    least_changeover_time: int | float | None = None

    def __repr__(self) -> str:
        return f"<Plan: {self.summary()}>"

    @property
    def gap(self) -> float | None:
        """How far above the bound the finish, or the joining, may be, as a share of it."""
        found = self.finish if self.in_step is None else self.in_step
        if found is None or self.lower_bound is None:
            return None
        return (found - self.lower_bound) / found if found else 0.0

    @property
    def outs(self) -> tuple[Fraction, ...]:
        """When loads are out of the line, in order of time.

        Where the programme goes over into a cycle: those of the recipes of the cycle.
        """
        if self.replay is None:
            return ()
        repeats = self.replay.programme.repeats
        runs = {run.load: run for run in self.replay.runs}
        recipes = {
            step.recipe
            for step in self.replay.programme
            if repeats is None or step.start >= repeats.since
        }
        found = [t for load, t in self.replay.out.items() if runs[load].recipe in recipes]
        return tuple(sorted(found))

    def summary(self) -> str:
        """One sentence for people, and one more where loads are lost."""
        if self.programme is None:
            return {
                "infeasible": f"No programme exists. {self.reason or ''}",
                "unknown": f"Stopped before a programme was found. {self.reason or ''}",
            }[self.status].strip()
        if self.in_step is not None:
            return self._joined() + self._lost()
        late = "" if self.lateness is None else f", weighted lateness {told(self.lateness)}"
        proof = (
            "proven least"
            if self.status == "optimal"
            else f"not proven least: the bound is {self.lower_bound}, a gap of {self.gap:.1%}"
        )
        return f"All is done at {self.finish}{late}, {proof}.{self._lost()}"

    def _lost(self) -> str:
        overstays = () if self.replay is None else self.replay.overstays
        loads = [str(load) for load in sorted({one.load for one in overstays})]
        if not loads:
            return ""
        return f" LOST, above a maximum dwell: {plural(len(loads), 'load')} {listed(loads)}."

    def _joined(self) -> str:
        proof = (
            "proven least"
            if self.status == "optimal"
            else f"not proven least: the bound is {self.lower_bound}, a gap of {self.gap:.1%}"
        )
        if self.changeover_time is None:
            return f"In step from {self.in_step} on, {proof}."
        return (
            f"Changeover time {self.changeover_time} (bound {self.least_changeover_time}), in "
            f"step from {self.in_step} on, {proof}."
        )
