"""The worked days under problems/days: a run-out, a basket that waits, a day of two hoists.

Their lines and figures are invented. The run-out's least finish is that of brute force.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import ceil
from pathlib import Path
from time import process_time

import pytest

import hoistopt
from hoistopt.app.machine.sequencer import sequencer_once
from hoistopt.app.plan import place
from hoistopt.checker.neighbours import neighbours_once
from hoistopt.problem import Problem
from hoistopt.show.programme.figure import draw_programme
from tests.helpers.command import PROBLEMS
from tests.reference.programmes.programmes import Brute

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


def zinc() -> Problem:
    return hoistopt.load_problem(PROBLEMS / "several/two_hoists.toml")


def test_the_evening_of_two_hoists_ends_as_soon_as_its_last_load_can() -> None:
    """Load 54 is lifted wherever it stands at the first tick after its minimum."""
    problem, tick = zinc(), Fraction(1, 10)
    state = hoistopt.read_state(DAYS / "zinc_evening.toml", problem)
    plan = hoistopt.plan(problem, (), state, workers=1, time_limit=10)
    seen = plan.replay
    assert plan.status == "optimal" and seen is not None and not seen.left
    assert sorted(seen.out) == [52, 53, 54]
    assert {run.hoist for run in seen.runs} == {"Upstream", "Downstream"}
    done = Fraction(12)  # set down in the first rinse, at the latest
    for run in seen.runs:
        if run.load == 54:
            least = Fraction(problem.recipes[0].stages[run.stage - 1].min)
            assert run.start == ceil((done + least) / tick) * tick
            done = run.end
    assert seen.finish == done <= Fraction(str(plan.finish)) < done + tick
    assert all(Fraction(8, 5) <= pair.distance for pair in neighbours_once(seen))


def test_two_hoists_keep_the_days_of_three_orders() -> None:
    problem = zinc()
    orders = hoistopt.read_orders(DAYS / "zinc_orders.csv", problem)
    plan = hoistopt.plan(problem, orders, workers=1, time_limit=2)
    seen = plan.replay
    assert seen is not None and seen.clean and plan.lateness == 0
    assert len(seen.out) == 3 and {run.hoist for run in seen.runs} == {"Upstream", "Downstream"}


def test_two_hoists_get_into_step_with_their_cycle() -> None:
    problem = zinc()
    cycle = hoistopt.read_moves(DAYS / "zinc_cycle.csv", problem)
    plan = hoistopt.plan(problem, to=cycle, workers=1, time_limit=10)
    seen = plan.replay
    assert seen is not None and seen.clean and plan.in_step is not None
    page = hoistopt.programme_html(seen, plan)
    assert "made every 271.4 s" in page and "Upstream" in page
    # From then on each hoist makes the moves of the cycle, every 271.4 s.
    joined = Fraction(str(plan.in_step))
    stated = sorted((step.start, step.hoist, step.source) for step in cycle)
    rounds = [run for run in seen.runs if 0 <= run.start - joined < Fraction(2714, 10)]
    first = next(s for s in stated if s[1:] == (rounds[0].hoist, rounds[0].source))
    turned = {((start - first[0]) % cycle.cycle, hoist, source) for start, hoist, source in stated}
    assert {((run.start - joined) * 10, run.hoist, run.source) for run in rounds} == turned


def test_after_a_stop_two_hoists_lose_only_the_load_that_is_over_already() -> None:
    problem = zinc()
    state = hoistopt.read_state(DAYS / "zinc_stopped.toml", problem)
    plan = hoistopt.plan(problem, (), state, recover=True, workers=1, time_limit=10)
    assert plan.recovery is not None and plan.recovery.lost == (63,) and plan.recovery.proven
    seen = plan.replay
    assert seen is not None and not seen.left and sorted(seen.out) == [62, 63, 64]
    assert [(one.load, one.label) for one in seen.overstays] == [(63, "Pickle")]
    assert "LOST, above the maximum dwell: load 63" in hoistopt.programme_html(seen, plan)
    footer = next(t for t in draw_programme(seen).texts if t.get_gid() == "footer").get_text()
    said = footer.replace("\n", " ")
    assert "LOST, above the maximum dwell: load 63" in said and "no anti-collision system" in said
