"""The whole model in absolute time: the variables, every rule, what is to be least."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ortools.sat.python import cp_model

from ....base.clock import Clock
from ....instance.finite import FiniteInstance
from ....instance.join import Join
from ..held import Held
from ..times import Timing, joined
from .rules import RULES, Rule
from .variables import FiniteVariables


class FiniteModel(FiniteVariables):
    """Variables and rules for CP-SAT.

    Parameters
    ----------
    instance, latest, clock, held, spans
        As for :class:`.variables.FiniteVariables`.
    rules : mapping, optional
        Rules by name: each takes the place of the rule of that name in
        :data:`~.rules.RULES`, or comes on top of them.

    Attributes
    ----------
    aim : variable or expression
        The finish, or what is to be least of a joining.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """

    def __init__(
        self,
        instance: FiniteInstance,
        latest: int,
        clock: Clock,
        held: Held | None = None,
        *,
        rules: Mapping[str, Rule] | None = None,
        spans: list[tuple[int, int]] | None = None,
    ) -> None:
        super().__init__(instance, latest, clock, held, spans)
        for rule in {**RULES, **(rules or {})}.values():
            clock.check()
            rule(self)
        if instance.late_most is not None:
            self.model.add(self.lateness() <= instance.late_most)
        self.aim = self._finish() if instance.join is None else self._in_step(instance.join)

    def _finish(self) -> Any:
        finish = self.model.new_int_var(0, self.latest, "finish")
        for load in self.instance.loads:
            self.model.add(finish >= self.end[load.moves[-1]])
        return finish

    def _in_step(self, join: Join) -> Any:
        """The joining; before it the time in which no load comes out, where that is asked."""
        if not join.leaving:
            return self.joined
        last = self.model.new_int_var(0, self.horizon, "last out")
        self.model.add_max_equality(last, [self.end[move] for move in join.leaving])
        without = self.joined + join.first_out - last
        if self.instance.several is not None:
            # Of several hoists one may take the last load out while the cycle is under way.
            least = self.model.new_int_var(0, 2 * self.horizon + join.first_out, "")
            self.model.add(least >= without)
            without = least
        return without * self.weight + self.joined

    @property
    def weight(self) -> int:
        """How much more the time without a load counts than the joining."""
        return self.horizon + 1

    def lateness(self) -> Any:
        """Weighted ticks by which loads are out after their due times."""
        terms: list[Any] = []
        for load in self.instance.loads:
            outlet = self.instance.outlet(load)
            if load.due is None or outlet is None:
                continue
            late = self.model.new_int_var(0, self.horizon, "")
            self.model.add(late >= self.end[outlet] - load.due)
            terms.append(load.weight * late)
        return sum(terms)

    def hint(self, timing: Timing) -> None:
        """Let a search begin with a timing."""
        given = self.instance.tied.keys() | self.instance.promised.keys()
        if self.held is not None:
            # Two hoists may start at once, and one constant then stands for both.
            given |= self.held.kept.keys()
        for move in self.instance.moves:
            start = self.start[move.index]
            if isinstance(start, cp_model.IntVar) and move.index not in given:
                self.model.add_hint(start, timing.starts[move.index])
        if self.instance.join is not None:
            self.model.add_hint(self.joined, joined(self.instance, timing))

    def hold_order(self, timing: Timing, within: int) -> None:
        """Let moves change places only with those that start so many ticks from them at most."""
        for (a, b), lit in self.orders.items():
            apart = timing.starts[b] - timing.starts[a]
            if abs(apart) > within and not isinstance(lit, bool):
                self.model.add_bool_and([lit if apart > 0 else ~lit])

    def timing(self, solver: cp_model.CpSolver) -> Timing:
        """The timing a solver has found."""
        routes = []
        for move in self.instance.moves:
            taken = [
                route for route, lit in self.ways(move) if lit is True or solver.boolean_value(lit)
            ]
            routes.append(taken[0])
        return Timing(tuple(solver.value(start) for start in self.start), tuple(routes))
