"""What CP-SAT proves and betters on the whole model of a finite problem."""

from __future__ import annotations

from dataclasses import replace

from ...base.clock import Clock
from ...instance.finite import FiniteInstance
from .. import cpsat
from ..cpsat import Status
from .bounds import horizon
from .incumbent import Incumbent
from .model import FiniteModel
from .times import value


class Whole:
    """A search of the whole model: the least lateness, then the least finish.

    Parameters
    ----------
    instance : FiniteInstance
    clock : Clock
    incumbent : Incumbent
        Begins with its best programme, and hands it every better one.
    only_late : bool
        Whether it ends once the lateness is proved, whatever the finish.

    Attributes
    ----------
    late_bound, bound : int
        As in :class:`~.search.Programmed`, as far as they are proved.
    """

    def __init__(
        self, instance: FiniteInstance, clock: Clock, incumbent: Incumbent, *, only_late: bool
    ) -> None:
        self.instance, self.clock, self.incumbent = instance, clock, incumbent
        self.only_late = only_late
        self.late_bound = self.bound = 0

    def run(self) -> Status:
        """Search the whole model, first for the least lateness, then for the least finish.

        Raises
        ------
        OutOfTime
            When there is no time to build the model.
        """
        instance, best = self.instance, self.incumbent.best
        due = instance.due
        latest = horizon(instance)
        if best is not None:
            latest = max(latest, best.finish) if due else best.finish
        if due and best is not None:
            # A load that is later than all of the best together need not be looked at.
            instance = replace(instance, late_most=value(instance, best)[0])
        model = FiniteModel(instance, latest, self.clock)
        if due:
            model.model.minimize(model.lateness())
            status, solver = self._solve(model)
            if status == "infeasible":
                return status
            self.late_bound = cpsat.proved_bound(solver, status)
            if status != "optimal":
                return self._left
            if self.only_late:
                return "feasible"
            model.model.add(model.lateness() <= self.late_bound)
        model.model.minimize(model.aim)
        status, solver = self._solve(model)
        if status == "infeasible":
            return status
        self.bound = cpsat.proved_bound(solver, status)
        return self._left

    @property
    def _left(self) -> Status:
        return "unknown" if self.incumbent.best is None else "feasible"

    def _solve(self, model: FiniteModel) -> tuple[Status, cpsat.cp_model.CpSolver]:
        if self.incumbent.best is not None:
            model.model.clear_hints()
            model.hint(self.incumbent.best)
        # Without the search for symmetries: with it CP-SAT 9.15 once called a finish least that
        # was not, on a model stated otherwise than today's. It has not come back since, and
        # the search is not missed: loads that are alike are ordered in the model itself.
        status, solver = cpsat.minimise(
            model.model, self.incumbent.hear, self.clock, symmetry=False
        )
        if status in ("optimal", "feasible"):
            self.incumbent.better(model.timing(solver))
        return status, solver
