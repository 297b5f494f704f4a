"""Levers: what each limit costs, against solving every changed line by brute force."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

import pytest
from rich.console import Console
from rich.table import Table

from hoistopt import InfeasibleError, InputError, Problem, find_levers, load_problem, solve, verify
from hoistopt.analysis.levers import trying
from hoistopt.analysis.levers.answer import Lever, Levers, Threshold
from hoistopt.analysis.levers.together import allowing_all, bound_of_all, comparable
from hoistopt.base.clock import Clock
from hoistopt.base.numbers.amount import Amount, amount_of
from hoistopt.base.numbers.decimals import told
from hoistopt.instance import Instance, build_instance
from hoistopt.instance.edits import with_quicker_hoist
from hoistopt.instance.limits import limits_of
from hoistopt.instance.times import HoistTimes
from hoistopt.show.levers.table import lever_tables
from hoistopt.solver import Found, build_model, least_cycle, run_model
from hoistopt.solver.model.decode import starts_of
from tests.helpers.clocks import clock
from tests.helpers.command import PROBLEMS
from tests.helpers.explained import Solved, solved
from tests.helpers.lines.few_carriers import few_carriers
from tests.reference.brute import least_cycle as least_by_trying

FAMILIES = ["plain", "parallel", "slots", "carriers", "everything"]
LOOSENED = ["plain", "tight", "carriers", "everything"]


@cache
def by_a_tenth() -> tuple[Problem, Levers]:
    """A line and its levers, for all who ask."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    return problem, find_levers(problem, by="10%", workers=1)


def by_trying(line: Solved, lever: Lever, figure: Decimal | None) -> int:
    """Least cycle of the line with a figure changed, or today's where that is shorter."""
    try:
        least = least_by_trying(lever.limit.changed(line.problem, figure), line.degree)
    except InputError:
        least = None
    return line.schedule.cycle if least is None else min(least, line.schedule.cycle)


@pytest.mark.parametrize(
    ("family", "seeds"),
    [
        *((family, range(700, 706)) for family in FAMILIES),
        # Of "everything", no line from 706 on is small enough.
        *(pytest.param(name, range(706, 712), marks=pytest.mark.long) for name in FAMILIES[:-1]),
    ],
)
def test_every_lever_moves_the_cycle_as_far_as_brute_force_says(family: str, seeds: range) -> None:
    checked = helpful = 0
    for line in solved(family, seeds):
        if len(line.instance.moves) > 5:
            continue
        found = find_levers(line.problem, line.degree, 3, 20, workers=1)
        tick = Fraction(line.problem.tick or 1)
        assert found.status == "optimal"
        assert found.cycle_time == line.schedule.cycle * tick
        for lever in found.levers:
            least = by_trying(line, lever, lever.new)
            assert lever.proven, (line.name, lever.words)
            assert lever.cycle_time == least * tick, (line.name, lever.words)
            assert lever.gain_least == lever.gain_most == found.cycle_time - least * tick
            helpful += lever.gain_least > 0
            checked += 1
    assert checked > 2 and helpful > 0


@pytest.mark.parametrize("family", FAMILIES)
def test_every_threshold_is_the_first_figure_that_gains(family: str) -> None:
    # Source of the reference: every tick from today's figure on, each line by brute force.
    beyond = never = 0
    for line in solved(family, range(712, 721)):
        if len(line.instance.moves) > 4:
            continue
        grid = line.instance.ticks_per_unit
        for lever in find_levers(line.problem, line.degree, 1, 10, workers=1).levers:
            threshold = lever.threshold
            assert threshold is not None and threshold.settled, (line.name, lever.words)
            room = lever.limit.room
            most = 12 if room is None else min(12, lever.limit.steps(room, grid))
            steps = most
            if threshold.pays is not None:
                moved = abs(threshold.pays - lever.limit.today)
                steps = min(most, lever.limit.steps(moved, grid) - 1)
                if lever.limit.steps(moved, grid) <= most:
                    assert by_trying(line, lever, threshold.pays) < line.schedule.cycle
                    beyond += steps > 0
            else:
                never += 1
            for tried in range(1, steps + 1):
                figure = lever.limit.stepped(tried, grid)
                assert by_trying(line, lever, figure) == line.schedule.cycle, (line.name, figure)
    assert never > 0 or family == "everything"
    assert beyond > 0 or family != "plain"


def test_the_best_comes_first() -> None:
    found = find_levers(few_carriers(count=1, return_time=50), by=10, workers=1)
    assert found.cycle_time == 190  # 10, 100, 10, 50 back, 20 at In
    gained = [lever.gain_least for lever in found.levers]
    assert gained == sorted(gained, reverse=True)
    best = found.levers[0]
    # Two carriers: the tank's turn, 100 + 10 + 5 + 10, is what is left.
    assert (best.limit.kind, best.cycle_time, best.gain_least) == ("carriers", 125, 65)
    gains = {lever.limit.kind: lever.gain_least for lever in found.levers}
    assert gains["return"] == gains["occupation"] == gains["min"] == 10
    assert gains["max"] == 0


def test_maxima_that_do_not_matter_are_settled_together() -> None:
    data = few_carriers().to_data()
    data["station"] = [*data["station"], {"name": "B", "position": 3}]
    names = ("In", "A", "Out", "B")
    pairs = [(a, b) for a in names for b in names if a != b]
    data["times"] = {
        "loaded": [{"from": a, "to": b, "time": 10} for a, b in pairs],
        "empty": [{"from": a, "to": b, "time": 5} for a, b in pairs],
    }
    data["recipe"][0]["stage"] = [
        {"station": "A", "min": 100, "max": 120},
        {"station": "B", "min": 10, "max": 150},
    ]
    found = find_levers(Problem.from_data(data), workers=1)
    how = {lever.words: lever.how for lever in found.levers if lever.limit.kind == "max"}
    assert set(how.values()) <= {"bound", "group"} and len(how) == 2


def test_without_time_nothing_is_claimed() -> None:
    line = next(solved("plain", range(9)))
    found = find_levers(line.problem, line.degree, time_limit=1e-4, workers=1)
    assert found.status in ("unknown", "feasible", "optimal")
    for lever in found.levers:
        assert 0 <= lever.gain_least <= lever.gain_most
        assert lever.cycle_time == found.cycle_time - lever.gain_least  # type: ignore[operator]


def test_a_line_without_a_schedule_has_no_levers() -> None:
    data = few_carriers().to_data()
    data["cycle"] = {"max": 20}
    found = find_levers(Problem.from_data(data), workers=1)
    assert found.status == "infeasible" and not found.levers
    assert "hoistopt conflict" in found.sentence()


def test_a_quicker_hoist_takes_the_share_it_says() -> None:
    problem = Problem.from_data(
        {
            "name": "Physics",
            "hoist": {
                "lift": 10,
                "lower": 8,
                "loaded": {"speed": 1, "acceleration": 2, "settling": 4},
                "empty": {"speed": 2},
            },
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                {"name": "A", "position": 6, "lift": 12},
                {"name": "Out", "kind": "unload", "position": 10},
            ],
            "times": {"empty": [{"from": "Out", "to": "In", "time": 7}]},
            "recipe": [{"name": "R", "stage": [{"station": "A", "min": 5, "drip": 3}]}],
        }
    )
    quicker = with_quicker_hoist(problem, Fraction(1, 5))
    before, after = HoistTimes(problem), HoistTimes(quicker)
    # 10 + 6/1 + 1/2 + 4 + 8 = 28.5, a fifth less 22.8; the drip of 3 stays.
    assert before.loaded("In", "A", Decimal(0)).planned == 285
    assert after.loaded("In", "A", Decimal(0)).planned == 228
    assert after.loaded("A", "Out", Decimal(3)).planned == 258  # 0.8 * 28.5 + 3
    assert after.empty("Out", "In") == 56
    assert after.empty("Out", "A") == 16  # 4 / 2 * 0.8
    assert after.grid == before.grid


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("5", Amount(time=Decimal(5))),
        ("2.5", Amount(time=Decimal("2.5"))),
        ("10%", Amount(share=Fraction(1, 10))),
        (" 7.5 % ", Amount(share=Fraction(3, 40))),
        (3, Amount(time=Decimal(3))),
    ],
)
def test_amounts(text: str | int, amount: Amount) -> None:
    assert amount_of(text) == amount


@pytest.mark.parametrize("wrong", ["", "0", "-3", "0%", "101%", "ten", "1e3", "-5 s", -1, True])
def test_amounts_that_are_none_are_refused(wrong: str | int) -> None:
    with pytest.raises(InputError, match="a share above 0 %"):
        amount_of(wrong)


@pytest.mark.parametrize("wrong", [-1, 91, "fast"])
def test_a_hoist_cannot_be_quicker_by_any_share(wrong: object) -> None:
    with pytest.raises(InputError, match="per cent"):
        find_levers(few_carriers(), hoist_by=wrong)  # type: ignore[arg-type]


def test_no_quicker_hoist_if_not_wanted() -> None:
    found = find_levers(few_carriers(), hoist_by=0, workers=1)
    kinds = {lever.limit.kind for lever in found.levers}
    assert kinds == {"min", "max", "occupation"}
    assert {x.limit.kind for x in find_levers(few_carriers(), workers=1).levers} > kinds


def test_a_gain_beyond_the_amount_asked_for_is_shown_where_it_begins() -> None:
    # A tenth more on the maximum of 140 gains nothing, a tick more than that does; held to
    # solving the changed lines.
    problem, found = by_a_tenth()
    lever = next(x for x in found.levers if x.limit.name == "maximum of Passivate")
    assert lever.new == Decimal("154.1") and lever.gain_least == Fraction(9, 10)
    assert lever.beyond and not found.levers[0].beyond
    assert lever.threshold is not None
    assert lever.threshold.pays == lever.threshold.proved_idle == lever.new
    for most, cycle in (("154", 234), ("154.1", 233.1)):
        changed = lever.limit.changed(problem, Decimal(most))
        assert solve(changed, workers=1).cycle_time == cycle
    assert lever.problem is not None and lever.schedule is not None
    assert verify(lever.problem, lever.schedule) == ()


def test_nothing_is_tried_beyond_what_the_file_says_may_give() -> None:
    data = few_carriers().to_data()
    data["recipe"][0]["stage"] = [
        {"station": "A", "min": 100, "max": 120, "may_give_min": 4, "may_give_max": 0}
    ]
    found = find_levers(Problem.from_data(data), by=10, workers=1)
    changed = {lever.limit.kind: lever for lever in found.levers}
    assert changed["min"].new == 96 and changed["min"].gain_least == 4
    assert "max" not in changed


def test_loads_an_hour_follow_from_the_gain() -> None:
    found = find_levers(few_carriers(count=1, return_time=50), by=10, workers=1)
    # 3600 / 190 and 3600 / 125 loads an hour, by hand.
    assert found.loads_per_hour(Fraction(190)) == Fraction(3600, 190)
    assert found.gained_per_hour(Fraction(65)) == Fraction(3600, 125) - Fraction(3600, 190)


def test_what_a_short_search_leaves_is_never_worse_than_today() -> None:
    # Degree 3 of the published line, cut short: no row below 0, each with its schedule.
    problem = load_problem(PROBLEMS / "phillips_unger_1976.toml")
    found = find_levers(problem, 3, time_limit=2.5, workers=2)
    if found.cycle_time is None:
        pytest.skip("not even a first schedule in time on this machine")
    assert any(not lever.proven for lever in found.levers)
    for lever in found.levers:
        assert lever.gain_least >= 0 and lever.cycle_time <= found.cycle_time
        assert lever.bound <= lever.cycle_time
        if lever.gain_least > 0:
            assert lever.problem is not None and lever.schedule is not None
            assert verify(lever.problem, lever.schedule) == ()
            assert lever.schedule.time(lever.schedule.cycle) == lever.cycle_time


def test_the_whole_hoist_has_a_threshold_in_per_cents() -> None:
    # Each per cent by brute force, so that the test above is known to meet one beyond 1 %.
    found = find_levers(slow_lift_line(), by=1, hoist_by=10, workers=1)
    lever = next(x for x in found.levers if x.limit.kind == "hoist")
    least = [
        least_by_trying(with_quicker_hoist(slow_lift_line(), Fraction(percent, 100)), 1)
        for percent in range(1, 51)
    ]
    today = least_by_trying(slow_lift_line(), 1)
    assert today is not None and found.cycle_time == today
    first = next(p for p, cycle in enumerate(least, start=1) if cycle is not None and cycle < today)
    assert 1 < first < 50
    assert lever.threshold is not None and lever.threshold.settled
    assert lever.threshold.pays == first
    assert "-" + str(first) in plain_table(lever_tables(found))


def test_time_that_is_left_goes_to_what_is_not_settled(monkeypatch: pytest.MonkeyPatch) -> None:
    # The first search for a gain is cut short; a second round settles it all the same.
    problem = few_carriers(count=1, return_time=50)
    whole = find_levers(problem, by=10, workers=1)
    cut: list[object] = []

    def cut_short(instance: Instance, clock: Clock, **more: Any) -> Found:
        cut.append(instance)
        if len(cut) <= 3:
            return Found("unknown", 1, None, 0.0)
        return least_cycle(instance, clock, **more)

    monkeypatch.setattr(trying, "least_cycle", cut_short)
    again = find_levers(problem, by=10, time_limit=60, workers=1)
    assert len(cut) > 3
    assert all(lever.proven for lever in again.levers)
    gains = {lever.words: lever.gain_least for lever in again.levers}
    assert gains == {lever.words: lever.gain_least for lever in whole.levers}


@pytest.mark.parametrize(
    ("family", "seeds"),
    [
        *((family, range(730, 735)) for family in LOOSENED),
        *(pytest.param(name, range(735, 740), marks=pytest.mark.long) for name in LOOSENED),
        ("busy end", range(0)),
    ],
)
def test_all_changes_at_once_allow_what_each_allows(family: str, seeds: range) -> None:
    # The least schedule of each changed line, its starts as they are, keeps every rule of the
    # line that allows them all; so no bound of that line lies above any of their cycles.
    checked = later = 0
    for line in busy_end() if family == "busy end" else solved(family, seeds):
        lines, schedules = [line.instance], [line.schedule]
        for limit in limits_of(line.problem, line.instance, amount_of("50%"), amount_of("50%")):
            assert limit.room is not None
            try:
                changed = limit.changed(line.problem, limit.given(limit.room))
                instance = build_instance(changed, line.degree)
            except (InfeasibleError, InputError):
                continue
            least = least_cycle(instance, clock(workers=1)).schedule
            if least is not None and comparable(line.instance, instance):
                lines.append(instance)
                schedules.append(least)
        whole = allowing_all(lines)
        for instance, schedule in zip(lines, schedules, strict=True):
            variables = build_model(whole, max(x.cycle for x in schedules))
            for start, value in zip(variables.start, starts_of(instance, schedule), strict=True):
                variables.model.add(start == value)
            variables.model.add(variables.cycle == schedule.cycle)
            assert run_model(variables.model, clock(workers=1))[0] == "optimal", line.name
            later += any(
                mine.shortest > least.shortest
                for mine, least in zip(instance.moves, whole.moves, strict=True)
            )
            checked += 1
        bound = bound_of_all(lines, line.schedule, clock(workers=1))
        assert 1 < bound <= min(schedule.cycle for schedule in schedules)
    assert checked > 5 and later > 5


def test_what_is_not_settled_has_a_common_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    # No limit gets a search of its own: what is told of each is what all gain at once.
    problem = load_problem(PROBLEMS / "phillips_unger_1976.toml")
    monkeypatch.setattr(trying.Trying, "_settle", lambda self, tried, clock: None)
    found = [x for x in find_levers(problem, workers=1).levers if not x.proven]
    monkeypatch.setattr(trying.Trying, "_bound_together", lambda self: None)
    alone = {x.words: x.gain_most for x in find_levers(problem, workers=1).levers}
    assert all(lever.gain_least <= lever.gain_most <= alone[lever.words] for lever in found)
    assert sum(lever.gain_most < alone[lever.words] for lever in found) > 10


def test_one_figure_a_cell_and_no_two_alike() -> None:
    _, found = by_a_tenth()
    best = found.levers[0]
    assert best.proven
    open_one = replace(
        best,
        bound=Fraction(100),
        gain_most=found.cycle_time - 100,  # type: ignore[operator]
        threshold=Threshold(Decimal("179.9"), Decimal(170)),
    )
    settled = plain_table(lever_tables(found))
    unsettled = plain_table(lever_tables(replace(found, levers=(open_one, *found.levers[1:]))))
    for head in ("at most", "before"):
        assert head in unsettled and head not in settled
    assert told(open_one.gain_most) in unsettled and "179.9" in unsettled


def plain_table(tables: list[Table]) -> str:
    """Tables as they stand on a wide terminal without colours."""
    console = Console(width=200, file=io.StringIO(), color_system=None)
    for table in tables:
        console.print(table)
    return console.file.getvalue()  # type: ignore[attr-defined,no-any-return]


def slow_lift_line() -> Problem:
    """An invented line whose tank, not its hoist, holds the cycle until lifts are quicker."""
    return Problem.from_data(
        {
            "name": "Invented",
            "unit": "s",
            "tick": 1,
            "hoist": {"lift": 2, "lower": 2, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                {"name": "A", "position": 3},
                {"name": "B", "position": 6},
                {"name": "Out", "kind": "unload", "position": 9},
            ],
            "recipe": [
                {
                    "name": "R",
                    "stage": [{"station": "A", "min": 30}, {"station": "B", "min": 40}],
                }
            ],
        }
    )


def busy_end() -> Iterator[Solved]:
    """An invented line that its unload station holds, where each load stands for a while."""
    problem = Problem.from_data(
        {
            "name": "Invented",
            "unit": "s",
            "tick": 1,
            "hoist": {"lift": 2, "lower": 2, "loaded": {"speed": 1}, "empty": {"speed": 2}},
            "cycle": {"mix": {"R": 1, "S": 1}},
            "station": [
                {"name": "In", "kind": "load", "position": 0, "capacity": "unlimited"},
                {"name": "A", "position": 4},
                {"name": "B", "position": 14},
                {"name": "Out", "kind": "unload", "position": 18, "min_occupation": 90},
            ],
            "recipe": [
                {"name": "R", "stage": [{"station": "A", "min": 5, "max": 60}]},
                {"name": "S", "stage": [{"station": "B", "min": 5, "max": 60}]},
            ],
        }
    )
    instance = build_instance(problem, 1)
    schedule = least_cycle(instance, clock(workers=1)).schedule
    assert schedule is not None
    yield Solved("busy end", problem, 1, instance, schedule)
