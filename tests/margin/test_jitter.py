"""Times of the hoist that scatter: against a simulated sequencer, and against known laws."""

from __future__ import annotations

import time
from fractions import Fraction

import numpy as np
import pytest

from hoistopt import InputError, jitter, load_problem, solve
from hoistopt.checker import Refused, accepted
from hoistopt.graph.from_replay import timed_plan
from hoistopt.graph.timed_plan import TimedPlan
from hoistopt.margin.jitter.replaying import draw_changes, follow, grain_of
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from hoistopt.show.jitter.table import jitter_data, jitter_summary
from tests.helpers.lines.checked_line import line, stage, table, usual_line, usual_table
from tests.helpers.lines.late_lines import solved
from tests.helpers.lines.small_line import small_line, small_schedule
from tests.helpers.sequencer import Sequencer
from tests.helpers.shown.drawn_line import long_line, one_at_a_time
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES

RUNS, CYCLES = 3, 9


def simulated(problem: Problem, schedule: Schedule, plan: TimedPlan, seed: int) -> list[str]:
    """Where the replay and the simulated sequencer differ, times changed at random."""
    generator = np.random.default_rng(seed)
    grain = grain_of(plan) / plan.per_unit
    # From far too quick to far too slow, in whole grains; no time falls below 0.
    spread = int(schedule.time(schedule.cycle) / 20 / grain) + 1
    size = (CYCLES, len(plan), RUNS)
    loaded = generator.integers(-spread, 2 * spread, size)
    empty = generator.integers(-spread, 2 * spread, size)
    for number, parts in enumerate(plan.parts):
        loaded[:, number] = np.maximum(loaded[:, number], -int(parts.total // plan.tick))
        empty[:, number] = np.maximum(empty[:, number], -int(plan.empties[number] // plan.tick))
    late = follow(plan, loaded, empty)
    line, found = Sequencer(problem, schedule), []
    for run in range(RUNS):
        watched = line.run(
            CYCLES,
            longer=lambda s, c, run=run: int(loaded[c, s, run]) * grain,
            slower=lambda s, c, run=run: int(empty[c, s, run]) * grain,
        )
        for (step, cycle), start in watched.starts.items():
            due = schedule.time(schedule.steps[step].start + cycle * schedule.cycle)
            # Where times lie between grains every wait may round up by one of them.
            limit = grain * len(plan) * (cycle + 1) if plan.tolerance or _between(plan) else 0
            if abs(int(late.starts[cycle, step, run]) * grain - (start - due)) > limit:
                found.append(f"run {run}, cycle {cycle}, step {step}")
    return found


def _between(plan: TimedPlan) -> bool:
    """Whether some slack is no whole number of grains."""
    return any((plan.slack(wait) / grain_of(plan)).denominator > 1 for wait in plan.waits)


@pytest.mark.parametrize("seeds", first(3, range(6)))
@pytest.mark.parametrize("family", FAMILIES)
def test_the_replay_agrees_with_a_simulated_sequencer(family: str, seeds: range) -> None:
    exact = 0
    for seed in seeds:
        line = solved(family, seed)
        if line is None:
            continue
        plan = timed_plan(accepted(*line))
        assert simulated(*line, plan, seed) == []
        exact += not (plan.tolerance or _between(plan))
    assert exact


def _lax(plan: TimedPlan, why: str) -> TimedPlan:
    from dataclasses import replace

    waits = tuple(
        replace(wait, length=wait.length - plan.tick) if wait.rule == why else wait
        for wait in plan.waits
    )
    return replace(plan, waits=waits)


@pytest.mark.parametrize(
    ("why", "family"),
    [("hoist", "plain"), ("minimum", "plain"), ("station", "turns"), ("return", "carriers")],
)
def test_each_wait_shorter_by_a_tick_is_noticed(why: str, family: str) -> None:
    lines = (line for seed in range(30) if (line := solved(family, seed)))
    assert any(simulated(*line, _lax(timed_plan(accepted(*line)), why), seed=1) for line in lines)


@pytest.mark.parametrize("family", FAMILIES)
def test_without_scatter_everything_is_on_plan(family: str) -> None:
    line = next(line for seed in range(20) if (line := solved(family, seed)))
    plan = timed_plan(accepted(*line))
    late = follow(plan, *draw_changes(plan, (), 8, 2, 0))
    assert not late.starts.any()
    assert not late.ends.any()
    found = jitter(*line, ["move times fixed 1", "empty plus fixed 0"], runs=2, cycles=20)
    assert found.cycle_time == float(found.planned)
    assert found.any_stage.out == 0
    assert all(stage.share.out == 0 for stage in found.stages)
    dwells = {(s.recipe, s.stage): float(s.planned / plan.per_unit) for s in plan.dwells}
    if len(plan.dwells) == len(dwells):  # one load of each recipe a cycle
        for stage in found.stages:
            planned = dwells[stage.recipe, stage.stage]
            assert stage.dwells.tolist() == [planned] * stage.dwells.size


def test_slow_moves_by_hand() -> None:
    """The bath of 30.5 s, 30 at least: every loaded move a second longer.

    Set down at 13, so the lift waits until 43; that is 0.5 late, and the move a second
    longer; back at 62 instead of 60.5, with 65 the next cycle.
    """
    problem = small_line()
    found = jitter(problem, small_schedule(problem), ["move plus fixed 1"], runs=1, cycles=5)
    (stage,) = found.stages
    assert stage.dwells.tolist() == [30.0] * 5
    assert found.cycle_time == 65
    # Ten seconds more: the cycle is 22 + 30 + 24 + 4, each load taken out as it may be.
    found = jitter(problem, small_schedule(problem), ["move plus fixed 10"], runs=1, cycles=5)
    assert found.stages[0].dwells.tolist() == [30.0] * 5
    assert found.cycle_times.tolist() == [80.0] * 4


@pytest.mark.parametrize(("most", "share"), [(60, 0), (59, 1)])
def test_loads_stand_too_long_by_hand(most: int, share: int) -> None:
    """The usual table, all empty travel 10 longer: B waits for the hoist until 25, not 15.

    Its load has stood 60 then. There is time to spare before A, at 55, and before the Bench.
    """
    problem = usual_line(b={"max": most})
    found = jitter(problem, usual_table(), ["empty plus fixed 10"], runs=2, cycles=5)
    a, b = found.stages
    assert (set(a.dwells), set(b.dwells)) == ({45.0}, {60.0})
    assert (a.share.share, b.share.share, found.any_stage.share) == (0, share, share)
    assert found.cycle_time == 100


def test_the_latest_step_and_the_worst_stage_are_told_by_hand() -> None:
    """As above: the first step is on time in every cycle, the one that lifts in B 10 late."""
    problem = usual_line(b={"max": 59})
    found = jitter(problem, usual_table(), ["empty plus fixed 10"], runs=2, cycles=5)
    assert found.late_at_end == 0
    latest = found.latest
    assert (latest.source, latest.mean, latest.most) == ("B", 10, 10)
    assert usual_table().steps[latest.step - 1].source == "B"
    words = jitter_summary(found)
    assert f"Latest step: {latest.step} (B to {latest.target}), 10 s late on average" in words
    assert "counted against the plan from the first cycle on" in words
    assert words.endswith("The last cycle begins 0 s late.")
    assert "Worst stage: B, 100 % of its loads over max., by up to 1 s." in words
    assert jitter_data(found)["latest_step"]["mean_late"] == 10
    on_plan = jitter(problem, usual_table(), ["empty plus fixed 0"], runs=2, cycles=5)
    assert "No step starts late." in jitter_summary(on_plan)
    assert "Worst stage" not in jitter_summary(on_plan)


# -- sizes ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sizes",
    [{"runs": 0}, {"cycles": 1}, {"warm_up": -1}, {"seed": -1}, {"runs": 2.0}, {"runs": True}],
)
def test_sizes_that_make_no_sense_are_refused(sizes: dict[str, int]) -> None:
    problem = small_line()
    with pytest.raises(InputError, match="a whole number"):
        jitter(problem, small_schedule(problem), [], **sizes)


def test_more_moves_than_memory_holds_are_refused() -> None:
    problem = small_line()
    with pytest.raises(InputError, match="moves in all"):
        jitter(problem, small_schedule(problem), [], runs=100_000, cycles=100)
    with pytest.raises(Refused, match="refuses this schedule"):
        jitter(usual_line(), usual_table(a=5), [])


def test_too_few_cycles_for_a_load_to_pass_are_refused() -> None:
    """Three places in A; a load stands 240 there, over two restarts of the cycle of 100."""
    stations = [{"name": "In", "kind": "load"}, {"name": "A", "capacity": 3}]
    stations.append({"name": "Out", "kind": "unload"})
    problem = line(stations, {"name": "R", "stage": [stage("A", 230, 250)]})
    schedule = table(100, (0, "In", "A"), (50, "A", "Out"))
    with pytest.raises(InputError, match="pass every stage"):
        jitter(problem, schedule, [], runs=1, cycles=2)
    (found,) = jitter(problem, schedule, [], runs=1, cycles=3).stages
    assert found.dwells.tolist() == [240]


# -- the whole -------------------------------------------------------------------------


def test_the_same_seed_gives_the_same_answer() -> None:
    problem = small_line()
    schedule = small_schedule(problem)
    words = ["move times triangular 0.9 1 1.4"]
    one, two = (jitter(problem, schedule, words, runs=5, seed=4) for _ in range(2))
    other = jitter(problem, schedule, words, runs=5, seed=5)
    assert one.cycle_times.tolist() == two.cycle_times.tolist()
    assert one.cycle_times.tolist() != other.cycle_times.tolist()


def test_a_share_known_in_closed_form() -> None:
    """B of the usual table, lifted once the hoist has come from A: 50 of at most 52.

    Every loaded move takes 0 to 4 longer, evenly. That from the Bench to A makes the
    lift in B late by as much, that from A to B, a cycle before, the set down. All else
    has time enough. The difference of two such draws is above 2 with probability 1/8.
    """
    problem = usual_line(b={"min": 40, "max": 52})
    found = jitter(problem, usual_table(), ["move plus uniform 0 4"], runs=200, cycles=50)
    share = found.stages[1].share
    assert share.low <= 1 / 8 <= share.high
    assert found.stages[0].share.out == 0
    assert found.cycle_time == pytest.approx(100, abs=0.01)
    assert found.any_stage.low <= 1 / 8 <= found.any_stage.high


def test_ten_thousand_cycles_of_fifteen_tanks_take_a_few_seconds() -> None:
    problem = long_line(17)
    schedule, _ = one_at_a_time(problem)
    assert len(schedule) == 16
    words = ["move times triangular 0.97 1 1.1", "empty times normal 1 0.05"]
    began = time.process_time()
    found = jitter(problem, schedule, words, runs=100, cycles=100)
    taken = time.process_time() - began
    assert found.runs * found.cycles == 10_000
    assert taken < 3
    began = time.process_time()
    jitter(problem, schedule, words, runs=1, cycles=10_000)
    assert time.process_time() - began < 10


def test_more_scatter_does_more_harm() -> None:
    """The published line has no time to spare, so hardly any scatter goes unpunished."""
    problem = load_problem("problems/phillips_unger_1976.toml")
    schedule = solve(problem, workers=1).schedule
    assert schedule is not None
    shares = [
        jitter(problem, schedule, [f"move times uniform 1 {high}"], runs=30).any_stage.share
        for high in (1, 1.05, 1.1)
    ]
    assert shares[0] == 0
    assert 0.05 < shares[1] < shares[2]


def test_times_are_fractions_where_they_are_planned() -> None:
    problem = small_line()
    found = jitter(problem, small_schedule(problem), [], runs=1, cycles=3)
    assert found.planned == Fraction(65)
    assert (found.stages[0].least, found.stages[0].most) == (30, 60)
