"""Loads placed beside others whose times are fixed: exactly, against CP-SAT on the whole model."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

import hoistopt
from hoistopt import LineState, Order, Programme
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.instance.build_finite import build_finite
from hoistopt.problem import Problem
from hoistopt.solver import cpsat
from hoistopt.solver.finite.bounds import horizon
from hoistopt.solver.finite.model import FiniteModel
from tests.helpers import usual
from tests.helpers.command import PROBLEMS
from tests.reference.lines import FAMILIES


def earliest_out(problem: Problem, promised: hoistopt.Plan, order: Order) -> int | None:
    """The least end of one more load, in ticks, where all others keep their times."""
    assert promised.programme is not None
    entered = [step for step in promised.programme if step.stage == 0]
    orders = [*(Order(step.recipe or "") for step in entered), order]
    try:
        instance = build_finite(problem, LineState(), orders)
    except InfeasibleError:
        return None
    # Loads alike may change places in the model, but here each has its times.
    loads = tuple(replace(load, weight=1000 + n) for n, load in enumerate(instance.loads))
    instance = replace(instance, loads=loads)
    model = FiniteModel(instance, horizon(instance) + promised_end(promised), Clock())
    for place, step in enumerate(entered):
        way = [other for other in promised.programme if other.load == step.load]
        for move, made in zip(instance.loads[place].moves, way, strict=True):
            model.model.add(model.start[move] == made.start)
            for route, lit in zip(instance.moves[move].routes, model.way[move], strict=True):
                if problem.stations[route.target].name != made.target:
                    model.model.add(lit == 0)
    model.model.minimize(model.end[instance.loads[-1].moves[-1]])
    status, solver = cpsat.minimise(
        model.model, lambda *_: None, Clock(Effort(30, 1)), symmetry=False
    )
    assert status in ("optimal", "infeasible")
    return round(solver.objective_value) if status == "optimal" else None


def promised_end(promised: hoistopt.Plan) -> int:
    assert promised.programme is not None and promised.finish is not None
    return int(promised.finish * promised.programme.ticks_per_unit) + 1


@pytest.mark.parametrize("seeds", usual.first(10, range(16)))
@pytest.mark.parametrize("family", FAMILIES)
def test_one_more_load_is_out_as_early_as_the_model_says(family: str, seeds: range) -> None:
    compared = 0
    for seed in seeds:
        problem = FAMILIES[family](seed).problem
        rng = Random(f"placing {family} {seed}")
        names = [recipe.name for recipe in problem.recipes]
        if any(entry.time == 0 for entry in problem.times.loaded):
            continue
        try:
            orders = [Order(rng.choice(names)) for _ in range(rng.choice((1, 2)))]
            promised = hoistopt.plan(problem, orders, effort=Effort(10, 1))
        except InputError:
            continue
        if promised.programme is None:
            continue
        more = Order(rng.choice(names))
        found = hoistopt.place_next(problem, promised.programme, [more])
        least = earliest_out(problem, promised, more)
        assert (found.replay is None) == (least is None)
        if found.replay is None or least is None:
            continue
        number = max(found.orders)
        last = [step for step in found.programme if step.load == number][-1]  # type: ignore[union-attr]
        rest = [step for step in found.programme if step.load != number]  # type: ignore[union-attr]
        assert rest == list(promised.programme)
        per_unit = promised.programme.ticks_per_unit
        run = next(r for r in found.replay.runs if r.load == number and r.stage == last.stage)
        # The model counts whole ticks, the checker the time the move takes.
        assert last.start + (run.end - run.start) * per_unit <= least
        assert least < last.start + (run.end - run.start) * per_unit + 1
        compared += 1
    assert compared >= round(6 * len(seeds) / 16)


def test_what_is_promised_must_be_whole_and_keep_the_rules() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    programme = hoistopt.plan(problem, [Order("Cases", 2)], workers=1).programme
    assert programme is not None
    with pytest.raises(InputError, match="is left in it"):
        hoistopt.place_next(
            problem, Programme(programme.ticks_per_unit, programme.steps[:-1]), [Order("Cases")]
        )
    early = replace(programme.steps[1], start=programme.steps[1].start - 500)
    broken = Programme(programme.ticks_per_unit, (programme.steps[0], early, *programme.steps[2:]))
    with pytest.raises(hoistopt.ProgrammeRefused):
        hoistopt.place_next(problem, broken, [Order("Cases")])
    finer = Programme(
        programme.ticks_per_unit * 100,
        tuple(replace(step, start=step.start * 100 + 1) for step in programme),
    )
    with pytest.raises(InputError, match="multiple of the tick"):
        hoistopt.place_next(problem, finer, [Order("Cases")])


def test_several_loads_keep_the_order_asked_for() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "mixed_recipes.toml")
    names = [recipe.name for recipe in problem.recipes]
    promised = hoistopt.plan(problem, [Order(names[0])], workers=1).programme
    assert promised is not None
    for first, second in (names, names[::-1]):
        orders = [Order(first), Order(second)]
        answer = hoistopt.place_next(problem, promised, orders, in_order=True)
        assert answer.replay is not None and answer.promised == (1,)
        entered = {run.load: run.start for run in answer.replay.runs if run.stage == 0}
        assert entered[2] < entered[3]
        assert [answer.replay.runs[0].load, len(answer.orders)] == [1, 2]
