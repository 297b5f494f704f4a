"""The degree chosen by the search: the best there is, one time limit, and what is said of it."""

from __future__ import annotations

import time
from copy import copy
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from benchmarks.lines.real import real_line
from hoistopt import Effort, InputError, Problem, Result, Stop, load_problem, solve, verify
from hoistopt.base.clock import Clock, OutOfTime
from hoistopt.instance import build_instance
from hoistopt.planning import fitting
from hoistopt.planning.best_degree import best_of_degrees
from hoistopt.planning.best_degree.candidates import MOST, degrees_not_tried, degrees_to_try
from hoistopt.planning.best_degree.lane import Lane
from hoistopt.planning.best_degree.ranking import Ranking
from hoistopt.planning.idle import groups_of_tanks
from hoistopt.planning.result import DegreeChoice, exact_time_per_load
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.grouped import grouped
from tests.helpers.stopping import SOON, has_schedule, stopped


@pytest.fixture(autouse=True)
def patience(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a machine that does much else a proof may take long."""
    monkeypatch.setattr(best_of_degrees, "PATIENCE", 900.0)


def chosen(problem: Problem, **limits: Any) -> tuple[Result, DegreeChoice]:
    found = solve(problem, "best", **limits)
    assert found.choice is not None
    return found, found.choice


@pytest.fixture(scope="module")
def of_three() -> tuple[Result, DegreeChoice]:
    """The best degree of a line with three tanks for one stage, as in `grouped`."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(best_of_degrees, "PATIENCE", 900.0)
        return chosen(grouped(3), workers=1)


def test_three_tanks_are_used_in_turn(of_three: tuple[Result, DegreeChoice]) -> None:
    problem = grouped(3)
    found, choice = of_three
    alone = solve(problem, workers=1)
    assert found.degree == 3 and found.status == "optimal"
    assert alone.cycle_time is not None and found.time_per_load is not None
    assert found.time_per_load < alone.cycle_time / 2.9
    assert found.schedule is not None and verify(problem, found.schedule) == ()
    assert {step.target for step in found.schedule} >= {"Plate 1", "Plate 2", "Plate 3"}
    assert choice.ended == "proved"


def test_each_degree_has_its_result_in_order(of_three: tuple[Result, DegreeChoice]) -> None:
    found, choice = of_three
    assert [result.degree for result in choice.results] == [1, 2, 3, 6]
    (same,) = [result for result in choice.results if result.degree == found.degree]
    assert (same.schedule, same.lower_bound) == (found.schedule, found.lower_bound)
    assert all(result.choice is None for result in choice.results)
    timed = [r for r in choice.results if r.schedule is not None]
    assert min(map(exact_time_per_load, timed)) == exact_time_per_load(found)
    assert all(r.replay is not None and r.replay.clean for r in timed)


def test_a_bound_over_all_degrees_that_is_met_ends_it() -> None:
    found, choice = chosen(load_problem(PROBLEMS / "roomy_dryer.toml"), workers=1)
    assert (found.degree, choice.proved, choice.ended) == (1, "any degree", "proved")
    assert choice.least_per_load == found.time_per_load
    searched = [result.degree for result in choice.results if result.runtime > 0]
    assert searched == [1]


def test_a_line_without_a_schedule_at_degree_one() -> None:
    """At degree 1 the tank's turn takes longer than the pace allows; two tanks keep it."""
    problem = grouped(2, cycle={"max": 250})
    assert solve(problem, workers=1).status == "infeasible"
    found, choice = chosen(problem, workers=1)
    assert found.degree == 2 and found.status == "optimal"
    assert choice.results[0].status == "infeasible"


def test_a_line_without_a_schedule_at_any_degree() -> None:
    found, choice = chosen(grouped(2, cycle={"max": 60}), workers=1)
    assert (found.status, found.schedule) == ("infeasible", None)
    assert {result.status for result in choice.results} == {"infeasible"}


def test_a_load_too_heavy_is_no_matter_of_degree() -> None:
    data = grouped(2).to_data()
    data["hoist"]["payload"], data["recipe"][0]["mass"] = 10, 11
    found = solve(Problem.from_data(data), "best", workers=1)
    assert found.status == "infeasible" and "payload" in (found.reason or "")


def test_one_time_limit_for_all_degrees() -> None:
    problem = load_problem(PROBLEMS / "quillhaven_anodising.toml")
    began = time.monotonic()
    found, choice = chosen(problem, time_limit=2, workers=1)
    assert time.monotonic() - began < 2 + SOON
    assert found.schedule is not None and verify(problem, found.schedule) == ()
    assert choice.ended == "time limit" and choice.proved == "open"
    assert choice.patience is None
    assert found.time_per_load is not None
    assert choice.least_of_compared <= found.time_per_load


def given_to(kind: str, monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Seconds that the first two searches of a degree are given, of 20."""
    given: list[float] = []

    def search(self: Lane, clock: Clock, *_: object) -> None:
        assert clock.left is not None
        given.append(clock.left)
        self.turns += 1
        if len(given) > 1:
            raise OutOfTime

    monkeypatch.setattr(Lane, "search", search)
    found, choice = chosen(real_line(kind, 4, 0), time_limit=20, workers=1)
    assert (found.status, choice.ended) == ("unknown", "time limit")
    return given


def test_a_mix_has_no_brief_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = given_to("group-mix", monkeypatch)
    assert second > 5 * first
    first, second = given_to("zinc", monkeypatch)
    assert second < 2 * first


def test_a_stop_keeps_the_best() -> None:
    problem = load_problem(PROBLEMS / "quillhaven_anodising.toml")
    with stopped(0.5, once=has_schedule, workers=1) as effort:
        found = solve(problem, "best", effort=effort)
    assert found.choice is not None and found.choice.ended == "stopped"
    assert found.schedule is not None and verify(problem, found.schedule) == ()


def test_a_stop_before_it_begins() -> None:
    stop = Stop()
    stop.set()
    problem = load_problem(PROBLEMS / "quillhaven_anodising.toml")
    found = solve(problem, "best", effort=Effort(stop=stop))
    assert (found.status, found.schedule) == ("unknown", None)


def test_a_stop_before_there_is_a_degree_is_no_proof(monkeypatch: pytest.MonkeyPatch) -> None:
    stop = Stop()
    monkeypatch.setattr(best_of_degrees, "check_size", lambda _: stop.set())
    found, choice = chosen(grouped(2), effort=Effort(workers=1, stop=stop))
    assert (found.status, found.schedule) == ("unknown", None)
    assert (choice.ended, choice.proved) == ("stopped", "open")


def test_without_a_limit_it_ends_when_nothing_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(best_of_degrees, "PATIENCE", 0.5)
    problem = load_problem(PROBLEMS / "quillhaven_anodising.toml")
    found, choice = chosen(problem, workers=1)
    assert found.schedule is not None
    assert (choice.ended, choice.patience) == ("no progress", 0.5)


def test_the_same_seed_finds_the_same() -> None:
    one, other = (solve(grouped(2), "best", workers=1, seed=4) for _ in range(2))
    assert (one.degree, one.schedule) == (other.degree, other.schedule)


# -- which degrees ----------------------------------------------------------------------


def test_degrees_follow_the_groups_of_tanks() -> None:
    assert degrees_to_try(load_problem(PROBLEMS / "phillips_unger_1976.toml")) == (1, 2, 3)
    assert degrees_to_try(grouped(4)) == (1, 2, 3, 4, 8)
    assert degrees_to_try(grouped(6)) == (1, 2, 3, 4, 5, 6, 12)


def test_two_groups_have_their_common_multiple() -> None:
    data = grouped(4).to_data()
    more = [f"Strip {number}" for number in range(1, 7)]
    strips = [{"name": name, "position": 20 + i} for i, name in enumerate(more)]
    data["station"] = [*data["station"], *strips]
    recipe = data["recipe"][0]
    recipe["stage"] = [*recipe["stage"], {"station": more, "min": 100, "max": 300}]
    tried = degrees_to_try(Problem.from_data(data))
    assert {1, 2, 3, 4, 6, 12} <= set(tried) and len(tried) <= MOST


def test_degrees_beyond_the_most_are_named() -> None:
    """One to ten degrees are tried: 12 and those it is a multiple of first, then the low ones."""
    assert degrees_not_tried(grouped(9)) == ()
    out = degrees_not_tried(grouped(12))
    assert [each.degree for each in out] == [10, 11, 24]
    assert {each.reason for each in out} == {f"at most {MOST} degrees are tried"}
    tried = degrees_to_try(grouped(12))
    assert len(tried) == MOST and not {each.degree for each in out} & set(tried)
    assert [each.reason for each in degrees_not_tried(grouped(120))][-2:] == [
        "degrees go up to 100"
    ] * 2
    assert degrees_not_tried(grouped(120))[-1].degree == 240


def test_a_group_visited_twice_needs_half_the_degree() -> None:
    data = grouped(4).to_data()
    recipe = data["recipe"][0]
    recipe["stage"] = [*recipe["stage"], recipe["stage"][0]]
    assert 2 in degrees_to_try(Problem.from_data(data))
    assert 8 not in degrees_to_try(Problem.from_data(data))


def test_two_recipes_share_a_group_whatever_the_order_of_its_tanks() -> None:
    data = grouped(2).to_data()
    (one,) = data["recipe"]
    turned = [{**one["stage"][0], "station": ["Plate 2", "Plate 1"]}, one["stage"][1]]
    data["recipe"] = [one, {"name": "Others", "stage": turned}]
    data["cycle"] = {"mix": {"Parts": 1, "Others": 1}}
    (group,) = groups_of_tanks(Problem.from_data(data))
    assert group[1:] == (("Plate 1", "Plate 2"), 2)


# -- what cannot be ---------------------------------------------------------------------


@pytest.mark.parametrize("degree", ["better", "", "3", "BEST", 0, -1, True, 2.0, None])
def test_what_is_no_degree_is_refused(degree: Any) -> None:
    with pytest.raises(InputError, match="degree"):
        solve(grouped(2), degree)


def test_a_degree_too_large_for_memory_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fitting, "memory", lambda: 10**6)
    with pytest.raises(InputError, match=r"degree = .*12.*expected .*memory.*lower degree"):
        solve(grouped(6), 12)
    monkeypatch.setattr(fitting, "memory", lambda: 10**5)
    for degree in (1, "best"):  # there is no degree below 1
        with pytest.raises(InputError, match=r"expected .*memory.*smaller mix") as refused:
            solve(grouped(6), degree, workers=1)
        assert "lower degree" not in str(refused.value)
    monkeypatch.setattr(fitting, "memory", lambda: 10**9)
    assert solve(grouped(2), 2, workers=1).status == "optimal"


def test_candidates_too_large_for_memory_are_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fitting, "memory", lambda: 10**6)
    found, choice = chosen(grouped(3), workers=1)
    assert [out.degree for out in choice.left_out] == [3, 6]
    assert all("GB" in out.reason for out in choice.left_out)
    assert found.degree == 2


def test_of_bounds_close_together_the_lower_degree_is_tried_first() -> None:
    """Four times the loads for a bound a seventh lower; but not for one a quarter lower."""
    base = Lane(build_instance(grouped(2)), Clock())

    def lane(degree: int, alone: int) -> Lane:
        one = copy(base)
        one.instance = replace(base.instance, degree=degree)
        one.alone, one.bound = Fraction(alone), degree
        return one

    order = Ranking([lane(2, 115), lane(8, 100), lane(3, 130)], None, 0).first(3)
    assert [one.degree for one in order] == [2, 8, 3]
