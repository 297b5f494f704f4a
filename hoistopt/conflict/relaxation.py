"""The minimal relaxation of a line: the smallest changes of its limits that let it run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ortools.sat.python import cp_model

from ..base.clock import Clock, OutOfTime
from ..instance import Instance
from ..instance.limits import Limit
from ..problem import Problem
from ..schedule import Schedule
from ..solver import run_model
from .giving import Giving

Aim = Literal["share", "number"]
"""What is to be smallest: the shares that limits give, in sum, or how many give at all."""

WEIGHT = 10**6
"""What giving way as far as a limit may counts; single ticks count a whole part of it."""


@dataclass(frozen=True)
class Change:
    """One limit moved to a new figure, in the problem's unit."""

    limit: Limit
    new: Decimal

    @property
    def old(self) -> Decimal:
        """The figure of today."""
        return self.limit.today

    @property
    def by(self) -> Decimal:
        """How far it moved."""
        return abs(self.new - self.old)

    @property
    def share(self) -> Fraction:
        """How far it moved, as a share of how far it may, or of today's figure without an end."""
        return Fraction(self.by) / Fraction(self.limit.room or self.limit.today or 1)


@dataclass(frozen=True)
class Relaxation:
    """The smallest changes of limits that let a line run.

    Attributes
    ----------
    status : str
        "least": nothing smaller will do. "found": it lets the line run, but something
        smaller might. "none": it does not run however far the limits give of what they
        may. "unknown": stopped before anything was found.
    aim : str
        What is smallest: "share", the sum of what each limit gives as a share of what it
        may, their number deciding among equals; or "number", how many give way, the sum of
        shares deciding.
    changes : tuple of Change
    problem : Problem or None
        The line with those figures.
    schedule : Schedule or None
        A schedule of it, which the checker has accepted.
    """

    status: Literal["least", "found", "none", "unknown"]
    aim: Aim
    changes: tuple[Change, ...] = ()
    problem: Problem | None = None
    schedule: Schedule | None = None

    @property
    def share(self) -> Fraction:
        """Sum of what each limit gives, as shares of what it may."""
        return sum((change.share for change in self.changes), Fraction(0))


def minimal_relaxation(
    problem: Problem,
    instance: Instance,
    limits: Sequence[Limit],
    aim: Aim = "share",
    *,
    like: Schedule | None = None,
    clock: Clock | None = None,
) -> Relaxation:
    """Find the least that limits must give way for a schedule to exist.

    They give way in whole ticks, none farther than it may; everything else is kept. Loads
    of one recipe share their windows.

    Parameters
    ----------
    instance : Instance
        That of the problem, its cycle time limited as wished.
    limits : sequence of Limit
        Those that may give way.
    like : Schedule, optional
        A schedule of the problem without that limit; the search begins near it.
    clock : Clock, optional
        When it is over, the least found by then is the answer.
    """
    clock = Clock() if clock is None else clock
    try:
        giving = Giving(problem, instance, limits, clock)
    except OutOfTime:
        return Relaxation("unknown", aim)
    _aim_at(giving, aim)
    if like is not None:
        giving.hint(like)
    status, solver = run_model(giving.variables.model, clock)
    # What is enough for several hoists to keep apart is not always needed: no proof.
    exact = instance.several is None or instance.several.exact
    if status in ("infeasible", "unknown"):
        return Relaxation("none" if status == "infeasible" and exact else "unknown", aim)
    given = giving.given(solver.value)
    made = giving.schedule(solver.value, given)
    if made is None:
        return Relaxation("unknown", aim)
    changes = tuple(Change(limit, figure) for limit, figure in given.items())
    return Relaxation("least" if status == "optimal" and exact else "found", aim, changes, *made)


def each_at_its_best(found: Sequence[Relaxation]) -> list[Relaxation]:
    """Relaxations of one line by several aims, each the best of all by its own aim.

    A search that ran out of time may have been left behind by that for another aim; then it
    takes over what that one found, which is still not proved to be the least.
    """
    settled = []
    for one in found:
        known = [other for other in (one, *found) if other.changes]
        best = min(known, key=lambda other: _measure(other, one.aim), default=one)
        if best is not one and one.status in ("found", "unknown"):
            better = not one.changes or _measure(best, one.aim) < _measure(one, one.aim)
            one = replace(best, status="found", aim=one.aim) if better else one
        settled.append(one)
    return settled


def _measure(found: Relaxation, aim: Aim) -> tuple[Fraction, Fraction]:
    number = Fraction(len(found.changes))
    return (found.share, number) if aim == "share" else (number, found.share)


def _aim_at(giving: Giving, aim: Aim) -> None:
    """Minimise the sum of shares and then the number of changes, or the other way round."""
    model = giving.variables.model
    weights, most = [], []
    used = []
    for number, (limit, by) in enumerate(giving.by.items()):
        used.append(model.new_bool_var(f"gives_{number}"))
        model.add(by == 0).only_enforce_if(used[-1].negated())
        weights.append(weight_of(giving, limit))
        most.append(weights[-1] * giving.most[limit])
    count = cp_model.LinearExpr.sum(used)
    total = cp_model.LinearExpr.weighted_sum(list(giving.by.values()), weights)
    if aim == "share":
        model.minimize(total * (len(used) + 1) + count)
    else:
        # A share above the whole, of a limit without end, is never worth one more of them.
        model.minimize(count * (sum(most) + 1) + total)


def weight_of(giving: Giving, limit: Limit) -> int:
    """What one tick of a limit counts, out of :data:`WEIGHT` for all it may give."""
    whole = limit.room or limit.today or Decimal(1)
    steps = limit.steps(whole, giving.instance.ticks_per_unit)
    return max(1, round(Fraction(WEIGHT, max(1, steps))))
