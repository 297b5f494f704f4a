"""The smallest changes of windows with which a line has a schedule."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

from ..checker import accepted
from ..graph.pattern import pattern_of
from ..instance import Instance
from ..instance.edits import with_windows
from ..problem import Problem, Stage
from ..schedule import Schedule, readable
from ..solver import bounds, run_model
from ..solver.model import constraints
from ..solver.model.constraints import dwell_in_window
from ..solver.model.decode import decode
from ..solver.model.variables import Linear, Variables
from .members import is_end, without
from .members import members as all_members

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
class Remedy:
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

    def to_data(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return {
            "status": self.status,
            "aim": self.aim,
            "total": readable(Fraction(self.total)),
            "changes": [
                {
                    "recipe": change.recipe,
                    "stage": change.stage,
                    "label": change.label,
                    "limit": change.limit,
                    "old": readable(Fraction(change.old)),
                    "new": readable(Fraction(change.new)),
                }
                for change in self.changes
            ],
            "cycle_time": None if self.schedule is None else self.schedule.cycle_time,
        }


def smallest_remedy(
    problem: Problem,
    instance: Instance,
    aim: Aim = "total",
    *,
    like: Schedule | None = None,
    time_limit: float | None = None,
    workers: int | None = 1,
    seed: int = 0,
) -> Remedy:
    """Find the least that windows must give way for a schedule to exist.

    Minima may fall and maxima rise, in whole ticks; everything else is kept. Loads of
    one recipe share their windows.

    Parameters
    ----------
    instance : Instance
        That of the problem, its cycle time limited as wished.
    like : Schedule, optional
        A schedule of the problem without that limit; the search begins near it.
    """
    model = _Softened(problem, instance)
    model.aim_at(aim)
    variables = model.variables
    if like is not None:
        _hint(problem, instance, variables, like)
    status, solver = run_model(variables.model, time_limit=time_limit, workers=workers, seed=seed)
    if status in ("infeasible", "unknown"):
        return Remedy("none" if status == "infeasible" else "unknown", aim)
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
    return Remedy(
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


class _Softened:
    """The model of the line with windows that can give way."""

    def __init__(self, problem: Problem, instance: Instance) -> None:
        self._problem = problem
        self._instance = instance
        open_windows = [
            m for m in all_members(problem, instance) if m.kind not in ("minimum", "maximum")
        ]
        # Bounds must hold however far the windows give way.
        eased = without(problem, instance, open_windows)
        low = max(bounds.lower_bound(eased), eased.shortest)
        high = max(low, bounds.horizon(instance), instance.longest or 0)
        self.variables = Variables(instance, low, high)
        self._reach = high * (1 + max(self._most_boundaries(), default=1))
        self._slack: dict[tuple[str, int, Literal["min", "max"]], Linear] = {}
        if instance.longest is not None:
            self.variables.model.add(self.variables.cycle <= instance.longest)
        for rule in constraints.ALL:
            if rule is dwell_in_window:
                self._dwell()
            else:
                rule(self.variables)

    def _most_boundaries(self) -> list[int]:
        return [max(self.variables.wrap_literals(stay)) for stay in self._instance.stays]

    def _dwell(self) -> None:
        """The rule of that name, where every limit may give way by its slack."""
        model, start, cycle = self.variables.model, self.variables.start, self.variables.cycle
        for stay in self._instance.stays:
            a, b = stay.arrival, stay.departure
            duration, shaved = self.variables.duration(a), self.variables.shaved(a)
            end = is_end(self._problem, self._instance, stay)
            move = self._instance.moves[b]
            recipe = self._instance.recipes[move.job]
            least, most = stay.least, stay.most
            down = 0 if end or not least else self._by(recipe, move.stage, "min", least)
            up = 0 if most is None else self._by(recipe, move.stage, "max", self._reach)
            for boundaries, literal in self.variables.wrap_literals(stay).items():
                dwell = start[b] - start[a] + boundaries * cycle - duration
                model.add(dwell >= least - down).only_enforce_if(literal)
                if most is not None:
                    model.add(dwell <= most - shaved + up).only_enforce_if(literal)

    def _by(self, recipe: str, stage: int, limit: Literal["min", "max"], most: int) -> Linear:
        key = (recipe, stage, limit)
        if key not in self._slack:
            name = f"slack_{limit}_{len(self._slack)}"
            self._slack[key] = self.variables.model.new_int_var(0, most, name)
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
            # No remedy needs more than to give all windows all the room there is.
            most = sum(stay.least for stay in self._instance.stays)
            most += self._reach * len(self._slack)
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
