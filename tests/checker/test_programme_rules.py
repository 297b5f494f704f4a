"""Each rule for programmes, on its limit and beyond it; and noticed when it is dropped.

By hand, see small_line: In to Bath takes 12, Bath to Out 14, the empty hoist from Out to In 4,
from Bath to In 2; the bath holds a load for 30 to 60. Ticks of half a second.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction as F
from typing import Any, NamedTuple

import pytest

import hoistopt
from hoistopt import (
    Between,
    Carried,
    HoistAt,
    LineState,
    Programme,
    Resting,
    Standing,
    Step,
    Travel,
)
from hoistopt.base.errors import InputError
from hoistopt.checker.programme import rules
from hoistopt.problem import Problem
from tests.helpers.lines.small_line import small_line

pytestmark = pytest.mark.quick

Change = Callable[[dict[str, Any]], None]
EMPTY = LineState()


def line(*changes: Change) -> Problem:
    data = json.loads(json.dumps(small_line().to_data(), default=float))
    data.pop("carriers")
    for change in changes:
        change(data)
    return Problem.from_data(data)


def moves(*made: tuple[float, str, str], **columns: Any) -> Programme:
    return Programme(F(2), tuple(Step(int(t * 2), a, b, **columns) for t, a, b in made))


def one(enter: float = 0, leave: float = 42, to: str = "Out") -> list[tuple[float, str, str]]:
    return [(enter, "In", "Bath"), (leave, "Bath", to)]


def station(name: str, **more: Any) -> Change:
    def change(data: dict[str, Any]) -> None:
        next(entry for entry in data["station"] if entry["name"] == name).update(more)

    return change


def stage(**more: Any) -> Change:
    return lambda data: data["recipe"][0]["stage"][0].update(more)


def heavy(mass: int) -> Change:
    def change(data: dict[str, Any]) -> None:
        data["hoist"]["payload"] = 50
        data["recipe"][0]["mass"] = mass

    return change


def crossing(**more: Any) -> Change:
    def change(data: dict[str, Any]) -> None:
        data["station"].append({"name": "Acid", "position": 3})
        data["crossing"] = [{"from": ["Bath"], "over": ["Acid"], **more}]

    return change


def second_bath(data: dict[str, Any]) -> None:
    data["station"].append({"name": "Bath 2", "position": 2})
    data["recipe"][0]["stage"][0]["station"] = ["Bath", "Bath 2"]


def carriers(data: dict[str, Any]) -> None:
    data["carriers"] = {"count": 1, "return_time": 10}


def bench(data: dict[str, Any]) -> None:
    station("In", kind="load-unload", min_occupation=5)(data)
    station("Out", kind="tank")(data)


def standing(least: float, most: float | None = None) -> Standing:
    return Standing("Bath", 1, Between.of(least, most), "A")


def hoist(
    name: str, least: float, most: float | None = None, carries: int | None = None
) -> HoistAt:
    carried = None if carries is None else Carried("A", carries)
    return HoistAt(name, Between.of(least, most), carried)


class Case(NamedTuple):
    rule: str
    function: str
    good: tuple[Problem, Programme, LineState]
    bad: tuple[Problem, Programme, LineState]


def case(
    rule: str,
    function: str,
    problem: Problem,
    good: Programme,
    bad: Programme,
    state: LineState = EMPTY,
) -> Case:
    return Case(rule, function, (problem, good, state), (problem, bad, state))


def two_hoists(data: dict[str, Any]) -> None:
    """A is on the left, B on the right; their middles are at least 1 apart."""
    data["hoist"] = [{**data["hoist"], "name": name} for name in "AB"]
    data["track"] = {"clearance": 1, "from": -5, "to": 9}


def by(first: str, second: str, *travels: tuple[float, str, int]) -> Programme:
    """One load, brought to the bath by a hoist and taken out of it by one."""
    steps = (Step(0, "In", "Bath", hoist=first), Step(84, "Bath", "Out", hoist=second))
    given = tuple(Travel(F(2 * start), name, F(to)) for start, name, to in travels)
    return Programme(F(2), steps, travels=given)


def passing(leaves: float) -> Programme:
    """B stands at 3 and goes to the bath at a time, which A leaves at 12."""
    return by("A", "B", (0, "B", 3), (12, "A", 1), (leaves, "B", 2))


ROOMY = line(station("Bath", capacity=2), stage(max=500))
TWO_IN = [(0, "In", "Bath"), (14, "In", "Bath")]


def left_by(first: int, second: int) -> Programme:
    numbered = [(0, "In", "Bath", 1), (14, "In", "Bath", 2)]
    numbered += [(100, "Bath", "Out", first), (120, "Bath", "Out", second)]
    return Programme(F(2), tuple(Step(2 * t, a, b, load=n) for t, a, b, n in numbered))


def left_standing(stood: float) -> LineState:
    """The hoist brings another load to Out in 20; nobody lifts the one in the bath."""
    return LineState((standing(stood),), hoist("Out", 20, carries=1))


def bench_of(occupied: float) -> Problem:
    return line(
        bench, station("In", min_occupation=occupied), station("Bath", capacity=2), stage(max=500)
    )


OUT_TWICE = moves((0, "In", "Bath"), (16.5, "In", "Bath"), (50, "Bath", "In"), (66, "Bath", "In"))

CASES = {
    "dwell too short": case(
        "window", "dwell_windows", line(), moves(*one()), moves(*one(0, 41.5)),
    ),
    "dwell too long": case(
        "window", "dwell_windows", line(), moves(*one(0, 72)), moves(*one(0, 72.5)),
    ),
    "too short in doubt": case(
        "window", "dwell_windows", line(), moves((5, "Bath", "Out")), moves((4.5, "Bath", "Out")),
        LineState((standing(25, 55),), hoist("Bath", 0)),
    ),
    "too long in doubt": case(
        "window", "dwell_windows", line(), moves((5, "Bath", "Out")), moves((5.5, "Bath", "Out")),
        LineState((standing(25, 55),), hoist("Bath", 0)),
    ),
    "set down in doubt": case(
        "window", "dwell_windows", line(), moves((38, "Bath", "Out")), moves((37.5, "Bath", "Out")),
        LineState((), hoist("Bath", 3, 8, carries=0)),
    ),
    "left in the line": Case(
        "window", "dwell_windows",
        (line(), moves(), left_standing(40)), (line(), moves(), left_standing(40.5)),
    ),
    "hoist": case(
        "hoist in two places", "hoist_in_one_place", line(),
        moves(*one(), *one(60, 102)), moves(*one(), *one(59.5, 102)),
    ),
    "hoist of the state": case(
        "hoist in two places", "hoist_in_one_place", line(),
        moves(*one(9, 51)), moves(*one(8.5, 51)), LineState((), hoist("Out", 1, 5)),
    ),
    "hoist on its way": case(
        "hoist in two places", "hoist_in_one_place", line(),
        moves(*one(1, 43)), moves(*one(0.5, 43)), LineState((), hoist("Out", -3)),
    ),
    "places": case(
        "double occupation", "places", ROOMY,
        moves(*TWO_IN, (100, "Bath", "Out"), (118, "In", "Bath"), (132, "Bath", "Out"),
              (170, "Bath", "Out")),
        moves(*TWO_IN, (86, "In", "Bath"), (100, "Bath", "Out"), (120, "Bath", "Out"),
              (140, "Bath", "Out")),
    ),
    "place of the state": case(
        "double occupation", "places", line(stage(max=500)),
        moves((0, "Bath", "Out"), (18, "In", "Bath"), (60, "Bath", "Out")),
        moves((0, "In", "Bath"), (20, "Bath", "Out"), (60, "Bath", "Out")),
        LineState((standing(40),), hoist("In", -9)),
    ),
    "order": case("order of leaving", "order_of_leaving", ROOMY, left_by(1, 2), left_by(2, 1)),
    "order of the state": case(
        "order of leaving", "order_of_leaving", ROOMY,
        Programme(F(1), (Step(0, "Bath", "Out", load=1), Step(20, "Bath", "Out", load=2))),
        Programme(F(1), (Step(0, "Bath", "Out", load=2), Step(20, "Bath", "Out", load=1))),
        LineState((standing(40, 60), standing(40, 60)), hoist("Bath", 0)),
    ),
    "reach": Case(
        "impossible move", "within_reach",
        (line(second_bath), moves((0, "In", "Bath 2"), (42, "Bath 2", "Out")), EMPTY),
        (line(second_bath, lambda data: data["hoist"].update(unreachable=["Bath 2"])),
         moves((0, "In", "Bath 2"), (42, "Bath 2", "Out")), EMPTY),
    ),
    "payload": Case(
        "impossible move", "light_enough",
        (line(heavy(50)), moves(*one()), EMPTY), (line(heavy(51)), moves(*one()), EMPTY),
    ),
    "crossing": Case(
        "impossible move", "crossings_kept",
        (line(crossing(min_drip=2)), moves(*one()), EMPTY),
        (line(crossing()), moves(*one()), EMPTY),
    ),
    "nothing to lift": case(
        "impossible move", "moves_made", line(), moves(*one()), moves(*one(), (90, "Bath", "Out")),
    ),
    "not where the recipe goes": case(
        "impossible move", "moves_made", line(), moves(*one()), moves((0, "In", "Out")),
    ),
    "columns": case(
        "impossible move", "columns_agree", line(),
        Programme(F(1), (Step(0, "In", "Bath", load=7), Step(42, "Bath", "Out", None, 7, 1))),
        Programme(F(1), (Step(0, "In", "Bath", load=7), Step(42, "Bath", "Out", None, 7, 2))),
    ),
    "rest": case(
        "rest", "places_rest", line(station("Bath", min_rest=40)),
        moves(*one(), *one(70, 112)), moves(*one(), *one(69.5, 112)),
    ),
    "rest of the state": case(
        "rest", "places_rest", line(station("Bath", min_rest=40)),
        moves(*one(20, 62)), moves(*one(19.5, 62)),
        LineState((), hoist("In", 0), (), (Resting("Bath", Between.of(8, 20)),)),
    ),
    "rest of one of two places": case(
        "rest", "places_rest", line(station("Bath", capacity=2, min_rest=40)),
        moves((20, "In", "Bath"), (40, "Bath", "Out"), (70, "Bath", "Out")),
        moves((19.5, "In", "Bath"), (40, "Bath", "Out"), (70, "Bath", "Out")),
        LineState((standing(10),), hoist("In", 0), (), (Resting("Bath", Between.of(8)),)),
    ),
    "load station": case(
        "window", "places_at_the_ends", line(station("In", min_occupation=61)),
        moves(*one(), *one(61, 103)), moves(*one(), *one(60.5, 103)),
    ),
    "load station of the state": case(
        "window", "places_at_the_ends", line(station("In", min_occupation=61)),
        moves(*one(41, 83)), moves(*one(40.5, 83)),
        LineState((Standing("In", 0, Between.of(20, 30)),), hoist("In", 0)),
    ),
    "nobody at the load station": case(
        "window", "places_at_the_ends", line(station("In", min_occupation=61)),
        moves(*one(61, 103)), moves(*one(60.5, 103)), LineState((), hoist("In", 0)),
    ),
    "unload station": case(
        "double occupation", "places_at_the_ends", line(station("Out", min_occupation=60.5)),
        moves(*one(), *one(60, 102.5)), moves(*one(), *one(60, 102)),
    ),
    "unload station of the state": case(
        "double occupation", "places_at_the_ends", line(station("Out", min_occupation=60)),
        moves((26, "Bath", "Out")), moves((25.5, "Bath", "Out")),
        LineState((standing(10), Standing("Out", 2, Between.of(20), "A")), hoist("Bath", 0)),
    ),
    "bench": case(
        "window", "places_at_the_ends", line(bench),
        moves(*one(to="In"), *one(61, 103, to="In")), moves(*one(to="In"), *one(60.5, 103, "In")),
    ),
    "bench, out twice": Case(
        "double occupation", "places_at_the_ends",
        (bench_of(16), OUT_TWICE, EMPTY), (bench_of(16.5), OUT_TWICE, EMPTY),
    ),
    "carriers": case(
        "carriers", "enough_carriers", line(carriers),
        moves(*one(), *one(66, 108)), moves(*one(), *one(65.5, 108)),
    ),
    "carriers on their way": case(
        "carriers", "enough_carriers", line(carriers),
        moves(*one(7, 49)), moves(*one(6.5, 49)),
        LineState((), hoist("In", 0), (Between.of(5, 7),)),
    ),
    "carriers being unloaded": case(
        "carriers", "enough_carriers", line(carriers, station("Out", min_occupation=20)),
        moves(*one(25, 67)), moves(*one(24.5, 67)),
        LineState((Standing("Out", 2, Between.of(5), "A"),), hoist("In", 0)),
    ),
    "two hoists, one going where the other leaves": case(
        "clearance", "hoists_keep_apart", line(two_hoists), passing(12), passing(11.5),
    ),
    "two hoists, one in the other's place at first": case(
        "clearance", "hoists_keep_apart", line(two_hoists), passing(12),
        by("A", "B", (12, "A", 1)),
    ),
    "a stage that names its hoist": case(
        "impossible move", "by_the_hoist_given", line(two_hoists, stage(hoist="A")),
        by("A", "A"), by("B", "B"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_on_the_limit_it_is_kept_and_beyond_it_broken(name: str) -> None:
    case = CASES[name]
    assert hoistopt.replay_programme(*case.good).violations == ()
    seen = hoistopt.replay_programme(*case.bad)
    assert {found.rule for found in seen.violations} == {case.rule}
    found = seen.violations[0]
    assert f"at {float(found.time):g} s" in found.message and found.message.isprintable()
    if found.limit is not None and found.found is not None and case.rule != "order of leaving":
        assert found.found != found.limit


@pytest.mark.parametrize("name", CASES)
def test_nothing_else_notices_where_the_rule_is_dropped(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tuple(rule for rule in rules.ALL if rule.__name__ != CASES[name].function)
    assert len(kept) == len(rules.ALL) - 1
    monkeypatch.setattr(rules, "ALL", kept)
    assert hoistopt.replay_programme(*CASES[name].bad).clean


def test_every_rule_has_a_case() -> None:
    assert {rule.__name__ for rule in rules.ALL} == {case.function for case in CASES.values()}


def test_what_stands_already_too_long_is_allowed_in_a_state_and_told_as_broken() -> None:
    state = LineState((standing(70),), hoist("Bath", 0))
    seen = hoistopt.replay_programme(line(), moves((0, "Bath", "Out")), state)
    assert [found.rule for found in seen.violations] == ["window"]


def test_a_state_that_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="at most 1 carrier"):
        hoistopt.replay_programme(line(), moves(), LineState((standing(1),) * 2, hoist("In", 0)))


def test_the_state_after_a_programme_has_what_is_left() -> None:
    seen = hoistopt.replay_programme(line(), moves(*one(), (60, "In", "Bath")))
    assert seen.left == (2,) and seen.out == {1: 56}
    during = hoistopt.state_after(seen, 62)
    assert during.hoist == HoistAt("Bath", Between.of(10), Carried("A", 0, 2))
    after = hoistopt.state_after(seen, 80)
    assert after.hoist == HoistAt("Bath", Between.of(-8))
    assert Standing("Bath", 1, Between.of(8), "A", 2) in after.standing
