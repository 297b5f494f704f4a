"""From a state of the line into step with a cycle: a programme that is proven and checked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial

from ...base.clock import Clock
from ...base.numbers.decimals import as_decimal
from ...checker import ProgrammeReplay, Refused, accepted_programme, named_schedule, replay
from ...checker.programme.repeating import same_cycle
from ...instance.build_finite import build_finite, used_recipes
from ...instance.build_join import JoinBuilder
from ...instance.finite import FiniteInstance
from ...instance.promised import Promise
from ...instance.ways_of_joining import Joining as WayOfJoining
from ...problem import Problem
from ...schedule import LineState, Order, Programme, Schedule, readable
from ...solver.finite import Joined, JoinSearch, Timing, lateness, without_loads
from ...solver.finite.joining import Candidate, Ways
from ...solver.finite.recovery import Softness, overstays
from ...solver.finite.times import value
from ..lost import priced, recovery_of, stuck, weights
from ..plan_result import Plan
from ..planned import due_times, weighted, without_programme
from ..run_out import run_out
from .filling import Filling
from .join_programme import joined_programme
from .questions import Joining, Loss, RunOut
from .served import Serving, serving
from .turns import in_turns

NO_JOINING = (
    "There is no way into the cycle: from this state the loads in the line cannot all be taken "
    "through it, or into the cycle, within their windows, whatever the order of the moves."
)


@dataclass(frozen=True)
class Asked:
    """What is asked of a programme that goes over into a cycle.

    Attributes
    ----------
    loads_out : int
        Loads of the cycle that are out by the end of the moves written out, at least.
    orders : sequence of Order
        Checked: their loads are out before the cycle is joined, or in the line then.
    served : sequence of Order
        Checked: loads that the cycle brings in later serve them as well.
    in_order : bool
        Whether they enter in the order of the orders.
    recover : bool
        Whether loads of the state may be lost.
    promise : Promise or None
        Moves that keep their times; all their loads are out before.
    lost : tuple of int
        Loads that what is promised gives up.
    """

    loads_out: int = 1
    orders: Sequence[Order] = ()
    served: Sequence[Order] = ()
    in_order: bool = False
    recover: bool = False
    promise: Promise | None = None
    lost: tuple[int, ...] = ()


def named_cycle(problem: Problem, schedule: Schedule) -> Schedule:
    """A cycle that can be run on a line, whatever mix the problem states, all steps named.

    Raises
    ------
    Refused
        When it breaks a rule of the line.
    InputError
        When it makes no sense on the line.
    """
    data = problem.to_data()
    carried = _carried(problem, schedule)
    seen = replay(Problem.from_data({**data, "cycle": {"mix": carried}}), schedule)
    if not seen.clean:
        raise Refused(seen)
    return named_schedule(seen.plan)


def _carried(problem: Problem, schedule: Schedule) -> dict[str, int]:
    """How many loads of each recipe enter in a cycle."""
    loading = {problem.load_station(recipe).name for recipe in problem.recipes}
    entering = [
        step
        for step in schedule
        if (step.stage == 0 if step.stage is not None else step.source in loading)
    ]
    only = problem.recipes[0].name if len(problem.recipes) == 1 else None
    names = [step.recipe or only for step in entering]
    if None in names:
        return dict(problem.cycle.mix or {problem.recipes[0].name: 1})
    return dict(Counter(name for name in names if name is not None))


class IntoCycle:
    """The ways of joining, and the questions asked of them.

    Attributes
    ----------
    late : Fraction
        Weighted lateness of the orders that the cycle serves, in the programme found.
    overdue : frozenset of Order
        Those of them of which a load is late.
    """

    def __init__(
        self, problem: Problem, named: Schedule, state: LineState, clock: Clock, asked: Asked
    ) -> None:
        self.problem, self.named, self.state = problem, named, state
        self.clock, self.asked = clock, asked
        self.late, self.overdue = Fraction(0), frozenset[Order]()
        self.loss: Loss | None = None
        if asked.recover:
            inside = build_finite(problem, state, (), overdue=True, clock=clock)
            self.loss = Loss(Softness(inside, priced(inside, weights(state))))
        self.builder = JoinBuilder(
            problem,
            state,
            named,
            clock,
            asked.orders,
            in_order=asked.in_order,
            overdue=asked.recover,
            promise=asked.promise,
        )
        self.joinings, self.latest = self._possible()
        self.bounds = [self.builder.bound(joining) for joining in self.joinings]
        # Whatever the changeover time, and whatever is given up, none joins earlier.
        complete = self.builder.complete
        self.soonest = min(b for _, b in self.bounds) if complete else self.builder.least_bound()
        self.filling = Filling(problem, named, clock, needed=bool(self.builder.inside))
        self.run_out = RunOut(self._run_out, self.loss, partial(run_out, problem, state=state))
        self.joining = Joining(self._search)

    def _possible(self) -> tuple[list[WayOfJoining], list[int | None]]:
        """The ways of joining that maxima of loads in the line allow, and when at the latest."""
        joinings = self.builder.joinings()
        if self.loss is not None:  # which maxima are kept is open
            return joinings, [None] * len(joinings)
        found = [(joining, self.builder.latest(joining)) for joining in joinings]
        found = [
            (joining, latest)
            for joining, latest in found
            if latest is None or self.builder.bound(joining)[1] <= latest
        ]
        return [joining for joining, _ in found], [latest for _, latest in found]

    def _run_out(self) -> FiniteInstance:
        asked = self.asked
        return build_finite(
            self.problem,
            self.state,
            asked.orders,
            in_order=asked.in_order,
            overdue=asked.recover,
            promise=asked.promise,
            clock=self.clock,
        )

    def _search(self) -> JoinSearch:
        """A search for the soonest joining, with no more lost, and nothing later, than found."""
        loss = None if self.loss is None else self.loss.timing
        late = self.run_out.late
        candidates = [
            Candidate(
                partial(self._built, joining, loss, late),
                bound,
                all_leave=not any(taken is not None for taken in joining.taken),
                latest=latest,
                fill=partial(self.filling.of, joining, self.builder.inside),
            )
            for joining, bound, latest in zip(self.joinings, self.bounds, self.latest, strict=True)
        ]
        others = None if self.builder.complete else (0, self.soonest)
        return JoinSearch(candidates, self._tell, others, self._cleared)

    def _built(
        self, joining: WayOfJoining, loss: Timing | None, late: int | None
    ) -> FiniteInstance | None:
        instance = self.builder.build(joining)
        if instance is None:
            return None
        if loss is not None and self.loss is not None:
            instance = Softness(instance, self.loss.softness.weights).capped(loss)
        return replace(instance, late_most=late) if instance.due else instance

    def _cleared(self) -> Ways | None:
        """Ways by which all loads of the state, and all ordered, are out; None: not known."""
        if not used_recipes(self.state, self.asked.orders, self.asked.promise):
            return []
        return self.run_out.ways(self.clock)

    def _tell(self, best: tuple[int, int] | None, bound: tuple[int, int]) -> None:
        per_unit = self.builder.grid
        found = None if best is None else readable(best[1] / per_unit)
        self.clock.tell("programme", cycle_time=found, lower_bound=readable(bound[1] / per_unit))

    def run(self) -> Plan:
        """The answers to all questions."""
        due = any(order.due is not None for order in self.asked.orders)
        first = [] if self.loss is None else [self.loss]
        in_turns([*first, *([self.run_out] if due else []), self.joining], self.clock)
        if self.loss is not None and self.loss.failed:
            assert self.loss.found is not None
            inside = self.loss.softness
            proved = inside.needed is inside
            return stuck(self.problem, self.state, self.loss.found, self.clock, proved=proved)
        found = self.joining.found
        if found is None or found.timing is None or found.instance is None:
            status = "unknown" if found is None else found.status
            reason = NO_JOINING if status == "infeasible" else None
            return without_programme(self.problem, status, self.clock, reason)
        answer = self._plan(found, found.instance, found.timing)
        return answer if self.loss is None else self._with_loss(answer, self.loss)

    def _plan(self, found: Joined, instance: FiniteInstance, timing: Timing) -> Plan:
        builder, asked, loss = self.builder, self.asked, self.loss
        joining = self.joinings[found.number]
        lost: tuple[int, ...] = asked.lost
        if loss is not None:
            whole = builder.build(joining)
            assert whole is not None
            lost = tuple(whole.loads[n].number for n in overstays(whole, timing))
        if loss is not None and loss.found is not None and loss.found.lost:
            # Other programmes that lose as little may let other loads stand longer.
            bound = min(self.bounds) if builder.complete else (0, self.soonest)
            met = bound == value(instance, timing)
            found = replace(found, status="optimal" if met else "feasible", bound=bound)
        ordered = instance.loads[len(joining.taken) - len(self._each) : len(joining.taken)]
        names = {load.number: n for load, n in zip(ordered, self._each, strict=True)}
        programme, seen, served = self._written(joining, instance, timing, names, lost)
        if not same_cycle(seen.course, self.named):
            raise AssertionError("a programme that ends in another cycle than the one given")
        per_unit = builder.grid
        without = without_loads(instance, timing)
        joined = min(timing.starts[move] for move in instance.tied)
        # With a lesser changeover time possible little is known of the joining beside it.
        known = without is None or found.bound[0] == without
        bound_ = max(found.bound[1], self.soonest) if known else self.soonest
        late = lateness(instance, timing)
        least_late = min(late, self.run_out.bound)
        proved = (not instance.due or late == least_late) and not served.late
        self.late, self.overdue = served.late, served.overdue
        due = due_times(instance) | served.due
        return Plan(
            status=found.status if proved else "feasible",
            finish=readable(seen.finish),
            lower_bound=readable(min(bound_, joined) / per_unit),
            lateness=weighted(late, instance) + float(served.late) if due else None,
            least_lateness=weighted(least_late, instance) if due else None,
            programme=programme,
            replay=seen,
            orders=names | {load: order.order for load, order in served.orders.items()},
            runtime=self.clock.elapsed,
            problem=seen.problem,
            promised=() if asked.promise is None else tuple(sorted(asked.promise.moves)),
            due=due,
            in_step=readable(joined / per_unit),
            changeover_time=None if without is None else readable(without / per_unit),
            least_changeover_time=None if without is None else readable(found.bound[0] / per_unit),
        )

    def _written(
        self,
        joining: WayOfJoining,
        instance: FiniteInstance,
        timing: Timing,
        names: Mapping[int, str],
        lost: Sequence[int],
    ) -> tuple[Programme, ProgrammeReplay, Serving]:
        """The programme as far as all that the cycle serves is out, and the checker's replay."""
        asked, promise = self.asked, self.asked.promise
        taken = {*self.state.loads, *names}
        taken |= set() if promise is None else {*promise.moves, *(n for n, _ in promise.entered)}
        count = max(asked.loads_out, sum(order.count for order in asked.served))
        while True:
            programme = joined_programme(
                self.problem, self.builder, joining, instance, timing, count
            )
            seen = accepted_programme(
                self.problem, programme, self.state, lost=lost, made_here=True
            )
            served = serving(asked.served, seen, taken, in_order=asked.in_order)
            if served is not None:
                return programme, seen, served
            count *= 2

    def _with_loss(self, answer: Plan, loss: Loss) -> Plan:
        """The answer with what is lost, and how that compares with the least."""
        seen, instance = answer.replay, loss.softness.instance
        assert seen is not None and loss.found is not None
        lost = tuple(sorted({one.load for one in seen.overstays}))
        over = sum((one.by for one in seen.overstays), Fraction(0))
        over = Fraction(as_decimal(over, Fraction(1, instance.ticks_per_unit)))
        told = recovery_of(instance, loss.found, lost, weights(self.state))
        least = min(over, loss.found.least_over / instance.ticks_per_unit)
        told = replace(told, overstay=readable(over), least_overstay=readable(least))
        proved = told.proven or answer.status != "optimal"
        return replace(answer, recovery=told, status=answer.status if proved else "feasible")

    @property
    def _each(self) -> list[str]:
        """Name of the order of each load that is ordered."""
        return [order.order for order in self.asked.orders for _ in range(order.count)]
