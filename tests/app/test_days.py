"""The worked days under problems/days: a run-out in the evening, a basket that waits.

Their lines and figures are invented. The run-out's least finish is that of brute force.
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from time import process_time

import pytest

import hoistopt
from hoistopt.app.plan import place
from hoistopt.app.sequencer import sequencer_once
from hoistopt.problem import Problem
from tests.helpers.command import PROBLEMS
from tests.reference.programmes import Brute

DAYS = PROBLEMS / "days"


def dryer() -> Problem:
    return hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")


def test_the_run_out_in_the_evening_is_as_early_as_brute_force_says() -> None:
    problem = dryer()
    state = hoistopt.read_state(DAYS / "evening.toml", problem)
    plan = hoistopt.plan(problem, (), state, workers=1, time_limit=20)
    assert plan.status == "optimal" and plan.replay is not None and not plan.replay.left
    assert sorted(plan.replay.out) == [31, 32, 33]
    ticked = Problem.from_data({**problem.to_data(), "tick": Decimal("0.1")})
    least = Brute(ticked, state, ()).least()
    assert least is not None and plan.finish == pytest.approx(least / 10)
    handed = sequencer_once(problem, plan.programme, ["csv", "json"], state=state)  # type: ignore[arg-type]
    assert len(handed.table.once) == len(plan.replay.runs) == 8


def test_the_waiting_basket_is_placed_at_once_and_nothing_promised_is_moved() -> None:
    problem = dryer()
    promised = hoistopt.read_programme(DAYS / "promised.csv", problem)
    place(problem, promised, DAYS / "waiting.csv")  # imports and tables of times
    began = process_time()
    answer = place(problem, promised, DAYS / "waiting.csv")
    assert process_time() - began < 0.2
    plan = answer.plan
    assert plan.replay is not None and plan.replay.clean and plan.promised == (1, 2)
    kept = {(r.load, r.stage): (r.start, r.source, r.target) for r in plan.replay.runs}
    for step in promised:
        assert step.load is not None and step.stage is not None
        wanted = (promised.time(step.start), step.source, step.target)
        assert kept[step.load, step.stage] == wanted
    (entered,) = [r.start for r in plan.replay.runs if r.load == 3 and r.stage == 0]
    assert entered >= 120 and answer.data()["orders"][0]["order"] == "V-7"


@pytest.mark.parametrize("path", sorted(DAYS.iterdir()), ids=lambda path: path.name)
def test_every_day_says_that_it_is_invented(path: Path) -> None:
    assert "Invented" in path.read_text(encoding="utf-8")
