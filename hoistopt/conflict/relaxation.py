"""The minimal relaxation of a line: the smallest changes of windows that let it run."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import Any, Literal

from ..base.clock import Clock, OutOfTime
from ..checker import accepted
from ..graph.pattern import pattern_of
from ..instance import Instance, Stay
from ..instance.edits import with_windows
from ..problem import Problem, Stage
from ..schedule import Schedule
from ..solver import bounds, build_model, run_model
from ..solver.model.constraints.dwell import dwell_in_window
from ..solver.model.decode import decode
from ..solver.model.variables import Linear, Variables
from .demands import demands, is_end
from .soft import without

Aim = Literal["total", "windows"]
"""What is to be smallest: the sum of all changes, or the number of windows changed."""


@dataclass(frozen=True)
class Change:
    """One limit of one window, moved from `old` to `new`; in the problem's unit."""

    recipe: str
    stage: int
    label: str
    limit: Literal["min", "max"]
    old: Decimal
    new: Decimal

    @property
    def by(self) -> Decimal:
        """How far it moved."""
        return abs(self.new - self.old)


@dataclass(frozen=True)
class Relaxation:
    """The smallest changes of windows that let a line run.

    Attributes
    ----------
    status : str
        "least": nothing smaller will do. "found": it lets the line run, but something
        smaller might. "none": no windows at all let it run. "unknown": stopped before
        anything was found.
    aim : str
        What is smallest: the "total" of the changes, the number of them deciding among
        equals; or the number of "windows", the total deciding.
    changes : tuple of Change
    problem : Problem or None
        The line with those windows.
    schedule : Schedule or None
        A schedule of it, which the checker has accepted.
    """

    status: Literal["least", "found", "none", "unknown"]
    aim: Aim
    changes: tuple[Change, ...] = ()
    problem: Problem | None = None
    schedule: Schedule | None = None

    @property
    def total(self) -> Decimal:
        """Sum of all changes."""
        return sum((change.by for change in self.changes), Decimal(0))


def minimal_relaxation(
    problem: Problem,
    instance: Instance,
    aim: Aim = "total",
    *,
    like: Schedule | None = None,
    clock: Clock | None = None,
) -> Relaxation:
    """Find the least that windows must give way for a schedule to exist.

    Minima may fall and maxima rise, in whole ticks; everything else is kept. Loads of
    one recipe share their windows.

    Parameters
    ----------
    instance : Instance
        That of the problem, its cycle time limited as wished.
    like : Schedule, optional
        A schedule of the problem without that limit; the search begins near it.
    clock : Clock, optional
        When it is over, the least found by then is the answer.
    """
    clock = Clock() if clock is None else clock
    try:
        model = _Soft(problem, instance, clock)
    except OutOfTime:
        return Relaxation("unknown", aim)
    model.aim_at(aim)
    variables = model.variables
    if like is not None:
        _hint(problem, instance, variables, like)
    status, solver = run_model(variables.model, clock)
    if status in ("infeasible", "unknown"):
        return Relaxation("none" if status == "infeasible" else "unknown", aim)
    changes = model.changes(solver.value)
    windows: dict[tuple[str, int], list[Decimal | None]] = {}
    for change in changes:
        stage = _stage(problem, change.recipe, change.stage)
        window = windows.setdefault((change.recipe, change.stage), [stage.min, stage.max])
        window[change.limit == "max"] = change.new
    relaxed = with_windows(
        problem, {key: (least or Decimal(0), most) for key, (least, most) in windows.items()}
    )
    schedule = decode(variables, solver.value)
    accepted(relaxed, schedule, made_here=True)
    return Relaxation(
        "least" if status == "optimal" else "found", aim, tuple(changes), relaxed, schedule
    )


def _hint(problem: Problem, instance: Instance, variables: Variables, like: Schedule) -> None:
    """Let the search begin with the order of moves of a schedule."""
    place = {move: turn for turn, move in enumerate(pattern_of(problem, instance, like).order)}
    for a, b in instance.pairs():
        first = variables.before(a.index, b.index)
        if instance.first_moves[0] not in (a.index, b.index):
            variables.model.add_hint(first, place[a.index] < place[b.index])


def _stage(problem: Problem, recipe: str, stage: int) -> Stage:
    return problem.recipe_by_name[recipe].stages[stage - 1]


class _Soft:
    """The model of the line with windows that can give way."""

    def __init__(self, problem: Problem, instance: Instance, clock: Clock) -> None:
        self._problem = problem
        self._instance = instance
        self._slack: dict[tuple[str, int, Literal["min", "max"]], Linear] = {}
        others = [d for d in demands(problem, instance) if d.kind not in ("minimum", "maximum")]
        # Bounds must hold however far the windows give way.
        without_windows = without(problem, instance, others)
        low = max(bounds.lower_bound(without_windows, clock), without_windows.shortest)
        self._longest = max(low, bounds.horizon(instance, clock), instance.longest or 0)
        soft = {"dwell": partial(dwell_in_window, gives=self._gives)}
        self.variables = build_model(instance, self._longest, lowest=low, rules=soft, clock=clock)

    def _reach(self, variables: Variables) -> int:
        """No dwell is longer than that, in ticks."""
        stays = self._instance.stays
        most = max((max(variables.wrap_literals(stay)) for stay in stays), default=1)
        return self._longest * (1 + most)

    def _gives(self, variables: Variables, stay: Stay, limit: Literal["min", "max"]) -> Linear:
        """By how much a limit of a stay gives way; loads of one recipe share it."""
        move = self._instance.moves[stay.departure]
        key = (self._instance.recipes[move.job], move.stage, limit)
        fixed = is_end(self._problem, self._instance, stay) or not stay.least
        if limit == "min" and fixed:
            return 0
        if key not in self._slack:
            most = stay.least if limit == "min" else self._reach(variables)
            name = f"slack_{limit}_{len(self._slack)}"
            self._slack[key] = variables.model.new_int_var(0, most, name)
        return self._slack[key]

    def aim_at(self, aim: Aim) -> None:
        """Minimise the total and then the number of changes, or the other way round."""
        model = self.variables.model
        changed: dict[tuple[str, int], Linear] = {}
        for (recipe, stage, _), slack in self._slack.items():
            window = changed.setdefault(
                (recipe, stage), model.new_bool_var(f"changed_{len(changed)}")
            )
            model.add(slack == 0).only_enforce_if(window.negated())
        total, count = sum(self._slack.values()), sum(changed.values())
        if aim == "total":
            model.minimize(total * (len(changed) + 1) + count)
        else:
            # No relaxation needs more than to give all windows all the room there is.
            most = sum(stay.least for stay in self._instance.stays)
            most += self._reach(self.variables) * len(self._slack)
            model.minimize(count * (most + 1) + total)

    def changes(self, value: Any) -> list[Change]:
        """What a solution changes."""
        found = []
        for (recipe, number, limit), slack in self._slack.items():
            ticks = value(slack)
            if not ticks:
                continue
            stage = _stage(self._problem, recipe, number)
            moved = next(
                stay
                for stay in self._instance.stays
                if self._instance.moves[stay.departure].stage == number
                and self._instance.recipes[self._instance.moves[stay.departure].job] == recipe
            )
            planned = moved.least - ticks if limit == "min" else (moved.most or 0) + ticks
            new = _decimal(Fraction(planned) / self._instance.ticks_per_unit)
            old = stage.min if limit == "min" else stage.max
            assert old is not None
            found.append(Change(recipe, number, stage.label, limit, old, new))
        return found


def _decimal(time: Fraction) -> Decimal:
    return Decimal(time.numerator) / Decimal(time.denominator)
