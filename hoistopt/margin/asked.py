"""Where the margin asked for leaves no schedule: how much of it could be had."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from ..base.clock import Clock, OutOfTime
from ..base.numbers.decimals import told
from ..instance import Instance, asked_margins, build_instance
from ..instance.margins import Margins, no_margins, tightened
from ..problem import Problem
from ..solver import build_model, run_model, travels_of
from ..solver.model.decode import decode

PARTS = 100
"""The share of the margin that can be kept is told in whole parts of so many."""


@dataclass(frozen=True)
class MarginConflict:
    """The line has schedules, and none with the margin asked for.

    Attributes
    ----------
    kept : Fraction
        The largest share of every slack and float asked for with which there is a schedule,
        in whole hundredths.
    proven : bool
        Whether there is none with a hundredth more.
    slack, float_ : Decimal
        What the line asks for.
    unit : str
    """

    kept: Fraction
    proven: bool
    slack: Decimal
    float_: Decimal
    unit: str

    def sentence(self) -> str:
        """Sentences that say which margin cannot be kept, how much of it can, and a way out."""
        begin = "The margin asked for cannot be kept; without it the line has schedules."
        if not self.kept:
            none = "Not even a hundredth of it can be kept"
            return f"{begin} {none if self.proven else 'How much can be kept is not known'}."
        asked = [("slack", self.slack), ("float", self.float_)]
        figures = [
            f"{name} {told(Fraction(time) * self.kept)} {self.unit}" for name, time in asked if time
        ]
        share = f"{told(self.kept * 100)} % of it"
        if figures:
            share += f", which is {' and '.join(figures)} for the line,"
        most = f"At most {share} can" if self.proven else f"At least {share} can"
        return f"{begin} {most} be kept: ask for that much, or widen the windows."


def margin_conflict(problem: Problem, degree: int, clock: Clock) -> MarginConflict | None:
    """How much of the margin asked for can be kept, where all of it cannot.

    Parameters
    ----------
    problem : Problem
        One that has no schedule of the degree with its margin.
    degree : int
        Sets of loads per cycle.
    clock : Clock

    Returns
    -------
    MarginConflict or None
        None where nothing is asked, or there is no schedule without a margin either, or
        the clock was over before that was known.
    """
    if not problem.asks_margin:
        return None
    try:
        whole = build_instance(problem, degree, clock, margin=False, several=True)
        asked = asked_margins(problem, whole)
        if _possible(whole, no_margins(whole), clock) is not True:
            return None
        low, high, proven = 0, PARTS, True
        while low + 1 < high:
            middle = (low + high) // 2
            found = _possible(whole, _part(asked, middle), clock)
            proven = proven and found is not None
            low, high = (middle, high) if found else (low, middle)
    except OutOfTime:
        return None
    slack, late = problem.line_margin
    return MarginConflict(Fraction(low, PARTS), proven, slack, late, problem.unit)


def _part(asked: Margins, parts: int) -> Margins:
    """So many hundredths of the margin, rounded up to ticks, as one who asks for them gets."""
    return Margins(
        tuple(-(-room * parts // PARTS) for room in asked.rooms),
        tuple(-(-late * parts // PARTS) for late in asked.floats),
    )


def _possible(instance: Instance, margins: Margins, clock: Clock) -> bool | None:
    """Whether there is a schedule with these margins; None where it is not known."""
    line = tightened(instance, margins)
    variables = build_model(line, instance.longest, clock=clock)
    status, solver = run_model(variables.model, clock)
    if instance.several is not None and status in ("optimal", "feasible"):
        # Ways by which the hoists give way have to be found as well.
        return None if travels_of(line, decode(variables, solver.value)) is None else True
    several = line.several
    if status == "infeasible" and several is not None and not several.exact:
        least = replace(line, several=several.asking("least"))
        status, _ = run_model(build_model(least, line.longest, clock=clock).model, clock)
        return False if status == "infeasible" else None
    return {"optimal": True, "feasible": True, "infeasible": False}.get(status)
