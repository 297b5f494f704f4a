"""What must hold of every line: how optima move when the line is changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from random import Random
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from hoistopt import InputError, Schedule, verify
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from tests.helpers import answers
from tests.helpers.answers import answer, least_ticks
from tests.helpers.usual import each
from tests.reference.lines import FAMILIES, SmallLine

Data = dict[str, Any]

LINES = st.builds(
    lambda family, seed: FAMILIES[family](seed),
    st.sampled_from(sorted(FAMILIES)),
    st.integers(10**6, 10**9),
)
often = settings(max_examples=40, deadline=None)
again = pytest.mark.parametrize("turn", each(1, range(2)))
"""Other lines than in the usual run, drawn afresh, with ``--long``."""


def _walk(value: Any, change: Callable[[str, Any], Any], key: str = "") -> Any:
    """Plain data with every number, text and truth in it changed by `change(key, value)`."""
    if isinstance(value, dict):
        return {k: _walk(v, change, k) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_walk(v, change, key) for v in value]
    return change(key, value)


# -- units and names --------------------------------------------------------------------

TIMES = (
    "min",
    "max",
    "drip",
    "min_drip",
    "min_occupation",
    "min_rest",
    "return_time",
    "lift",
    "lower",
)


@again
@often
@given(LINES, st.integers(2, 9))
def test_all_times_stretched_stretch_the_cycle_by_as_much(
    turn: int, line: SmallLine, by: int
) -> None:
    def stretched(key: str, value: Any) -> Any:
        if key in (*TIMES, "time", "tick", "settling"):
            return None if value is None else value * by
        # With the same acceleration: top speed is reached later, and that much farther on.
        if key == "position":
            return value * by**2
        return value * by if key == "speed" else value

    data = _walk(line.problem.to_data(), stretched)
    assert least_ticks(Problem.from_data(data), line.degree) == least_ticks(*line)


@again
@often
@given(LINES, st.randoms(use_true_random=False))
def test_names_and_the_order_of_listing_are_no_matter(
    turn: int, line: SmallLine, rng: Random
) -> None:
    data = line.problem.to_data()
    names = [station["name"] for station in data["station"]]
    names += [recipe["name"] for recipe in data["recipe"]]
    fresh = [f"N{number}" for number in range(len(names))]
    rng.shuffle(fresh)
    new = dict(zip(names, fresh, strict=True))
    cycle = dict(data.get("cycle", {}))
    said = _walk(
        {key: part for key, part in data.items() if key != "cycle"},
        lambda key, value: (
            new.get(value, value) if key in ("name", "station", "from", "to") else value
        ),
    )
    for key in ("over", "from"):
        for crossing in said.get("crossing", []):
            crossing[key] = [new.get(name, name) for name in crossing[key]]
    for recipe in said["recipe"]:
        recipe |= {key: new[recipe[key]] for key in ("load", "unload") if key in recipe}
    if "unreachable" in said.get("hoist", {}):
        said["hoist"]["unreachable"] = [new[name] for name in said["hoist"]["unreachable"]]
    if cycle.get("mix"):
        mixed = [(new[name], count) for name, count in cycle["mix"].items()]
        rng.shuffle(mixed)
        cycle["mix"] = dict(mixed)
    if cycle.get("order"):
        cycle["order"] = [new[name] for name in cycle["order"]]
    said["name"] = "renamed"
    if cycle:
        said["cycle"] = cycle
    # Where a recipe names no end, the only one is meant, wherever it is listed.
    rng.shuffle(said["station"])
    rng.shuffle(said["recipe"])
    assert least_ticks(Problem.from_data(said), line.degree) == least_ticks(*line)


# -- the other way round ----------------------------------------------------------------


def _in_tables(line: SmallLine) -> bool:
    return not {"hoist"} & line.problem.to_data().keys() and line.problem.tick == 1


def _backwards(data: Data) -> Data:
    """A line whose schedules are the line's own run backwards in time."""
    swapped = {"load": "unload", "unload": "load"}
    said = {**data, "station": [], "recipe": []}
    for station in data["station"]:
        kind = {"kind": swapped.get(station["kind"], station["kind"])} if "kind" in station else {}
        said["station"].append({**station, **kind})
    for recipe in data["recipe"]:
        ends = {swapped[key]: recipe[key] for key in ("load", "unload") if key in recipe}
        bare = {key: part for key, part in recipe.items() if key not in swapped}
        said["recipe"].append({**bare, **ends, "stage": recipe["stage"][::-1]})
    said["times"] = {
        key: [{"from": e["to"], "to": e["from"], "time": e["time"]} for e in entries]
        for key, entries in data["times"].items()
    }
    return said


@again
@settings(max_examples=80, deadline=None)
@given(LINES)
def test_a_line_run_backwards_takes_as_long(turn: int, line: SmallLine) -> None:
    data = line.problem.to_data()
    if not _in_tables(line) or data.get("crossing") or data.get("cycle", {}).get("order"):
        return
    if data.get("carriers", {}).get("return") == "hoist":
        return
    # Drip is waited for after a stage; backwards it would be before it.
    data = _walk(data, lambda key, value: 0 if key == "drip" else value)
    there = least_ticks(Problem.from_data(data), line.degree)
    assert least_ticks(Problem.from_data(_backwards(data)), line.degree) == there


# -- more freedom -----------------------------------------------------------------------


def _shorter_minimum(data: Data, rng: Random) -> None:
    """Not of a fixed dwell, which is kept to within a tick: the maximum of any wider window loses
    a tick to a move whose true time is shorter than planned (`Route.shaved`)."""
    stage = rng.choice(rng.choice(data["recipe"])["stage"])
    if stage.get("max") is None or stage["max"] - stage["min"] >= 1:  # a tick is at most 1
        stage["min"] = Decimal(stage["min"]) / 2 // 1


def _longer_maximum(data: Data, rng: Random) -> None:
    stage = rng.choice(rng.choice(data["recipe"])["stage"])
    if stage.get("max") is not None:
        stage["max"] += rng.randint(1, 20)


def _no_maximum(data: Data, rng: Random) -> None:
    rng.choice(rng.choice(data["recipe"])["stage"]).pop("max", None)


def _shorter_occupation(data: Data, rng: Random) -> None:
    for station in data["station"]:
        station.pop("min_occupation", None)


def _any_number_of_carriers(data: Data, rng: Random) -> None:
    data.get("carriers", {}).pop("count", None)


def _one_more_tank(data: Data, rng: Random) -> None:
    tanks = [s["name"] for s in data["station"] if "kind" not in s]
    stage = rng.choice(rng.choice(data["recipe"])["stage"])
    stage["station"] = list(dict.fromkeys([*stage["station"], rng.choice(tanks)]))


def _no_crossings(data: Data, rng: Random) -> None:
    data.pop("crossing", None)


FREEDOMS = (
    _shorter_minimum,
    _longer_maximum,
    _no_maximum,
    _shorter_occupation,
    _any_number_of_carriers,
    _one_more_tank,
    _no_crossings,
)


@again
@settings(max_examples=100, deadline=None)
@given(LINES, st.sampled_from(FREEDOMS), st.randoms(use_true_random=False))
def test_more_freedom_never_costs_time(
    turn: int, line: SmallLine, free: Callable[[Data, Random], None], rng: Random
) -> None:
    data = _walk(line.problem.to_data(), lambda _, value: value)
    free(data, rng)
    least = least_ticks(*line)
    if least is not None:
        freer = least_ticks(Problem.from_data(data), line.degree)
        assert freer is not None and freer <= least


@again
@often
@given(LINES)
def test_twice_the_degree_never_costs_time_per_load(turn: int, line: SmallLine) -> None:
    if line.degree > 1 or len(line.problem.load_set) > 2:
        return
    once = least_ticks(line.problem, 1)
    if once is not None:
        twice = least_ticks(line.problem, 2)
        assert twice is not None and twice <= 2 * once


# -- schedules ---------------------------------------------------------------------------


def _carrying_is_a_short_cut(line: SmallLine) -> bool:
    """Whether the hoist gets from some move to a later one sooner by making another between.

    Then the rule for all pairs of moves asks for more than a schedule that skips no step.
    """
    gaps = build_instance(*line).gaps
    moves = range(len(gaps))
    return any(gaps[a][b] + gaps[b][c] < gaps[a][c] for a in moves for b in moves for c in moves)


@again
@often
@given(LINES)
@example(line=FAMILIES["entering"](177377443))  # passed over: a load carried goes quicker than none
def test_a_tick_less_than_the_optimum_is_refused(turn: int, line: SmallLine) -> None:
    schedule = answers.least(*line) if _in_tables(line) else None
    if schedule is None or _carrying_is_a_short_cut(line):
        return
    assert not verify(line.problem, schedule)
    if all(step.start < schedule.cycle - 1 for step in schedule):
        assert verify(line.problem, replace(schedule, cycle=schedule.cycle - 1))


@again
@often
@given(LINES, st.integers(0, 10**6))
def test_a_schedule_is_a_schedule_wherever_its_cycle_begins(
    turn: int, line: SmallLine, later: int
) -> None:
    schedule = answers.least(*line)
    if schedule is None:
        return
    assert schedule.steps[0].start == 0
    turned = tuple(
        replace(step, start=(step.start + later) % schedule.cycle, boundaries=None, load=None)
        for step in schedule
    )
    assert not verify(line.problem, Schedule(schedule.cycle, schedule.ticks_per_unit, turned))


@again
@often
@given(LINES)
def test_the_same_seed_and_one_worker_give_the_same_schedule(turn: int, line: SmallLine) -> None:
    try:
        first, second = answer(*line), answer(*line)
    except InputError:
        return
    assert first.schedule == second.schedule
