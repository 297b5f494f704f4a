"""Levers: what each limit costs, against solving every changed line by brute force."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from hoistopt import InputError, Problem, find_levers
from hoistopt.analysis.levers.answer import Lever
from hoistopt.analysis.levers.pulls import Amount, amount_of, pulls
from hoistopt.instance.edits import with_quicker_hoist
from hoistopt.instance.times import HoistTimes
from tests.conflict.test_sets import few_carriers
from tests.helpers.explained import solved
from tests.reference.brute import least_cycle as least_by_trying


@pytest.mark.parametrize("family", ["plain", "parallel", "slots", "carriers", "everything"])
def test_every_lever_moves_the_cycle_as_far_as_brute_force_says(family: str) -> None:
    checked = helpful = 0
    for line in solved(family, range(700, 712)):
        if len(line.instance.moves) > 5:
            continue
        found = find_levers(line.problem, line.degree, 3, 20, workers=1)
        tick = Fraction(line.problem.tick or 1)
        assert found.status == "optimal"
        assert found.cycle_time == line.schedule.cycle * tick
        assert len(found.levers) == len(pulls(line.problem, 3, 20))
        for lever in found.levers:
            try:
                least = least_by_trying(lever.pull.apply(line.problem), line.degree)
            except InputError:
                least = None
            assert lever.proven, (line.name, lever.pull.words)
            if least is None:
                assert lever.how == "none"
                continue
            assert lever.cycle_time == least * tick, (line.name, lever.pull.words)
            assert lever.gain_least == lever.gain_most == found.cycle_time - least * tick
            helpful += lever.gain_least > 0
            checked += 1
    assert checked > 5 and helpful > 0


def test_the_best_comes_first() -> None:
    found = find_levers(few_carriers(count=1, return_time=50), by=10, workers=1)
    assert found.cycle_time == 190  # 10, 100, 10, 50 back, 20 at In
    gained = [least(lever) for lever in found.levers]
    assert gained == sorted(gained, reverse=True)
    best = found.levers[0]
    # Two carriers: the tank's turn, 100 + 10 + 5 + 10, is what is left.
    assert (best.pull.kind, best.cycle_time, best.gain_least) == ("carriers", 125, 65)
    gains = {lever.pull.kind: lever.gain_least for lever in found.levers}
    assert gains["return"] == gains["occupation"] == gains["min"] == 10
    assert gains["max"] == 0


def least(lever: Lever) -> Fraction:
    assert lever.gain_least is not None
    return lever.gain_least


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
    how = {lever.pull.words: lever.how for lever in found.levers if lever.pull.kind == "max"}
    assert set(how.values()) <= {"bound", "group"} and len(how) == 2


def test_without_time_nothing_is_claimed() -> None:
    line = next(solved("plain", range(9)))
    found = find_levers(line.problem, line.degree, time_limit=1e-4, workers=1)
    assert found.status in ("unknown", "feasible", "optimal")
    for lever in found.levers:
        if lever.how == "stopped":
            assert lever.gain_least in (None, 0)
            assert lever.gain_most is None or lever.gain_most >= 0


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


@pytest.mark.parametrize("wrong", ["", "0", "-3", "0%", "101%", "ten", "1e3", "5 s", -1, True])
def test_amounts_that_are_none_are_refused(wrong: str | int) -> None:
    with pytest.raises(InputError, match="a share above 0 %"):
        amount_of(wrong)


@pytest.mark.parametrize("wrong", [-1, 91, "fast"])
def test_a_hoist_cannot_be_quicker_by_any_share(wrong: object) -> None:
    with pytest.raises(InputError, match="per cent"):
        find_levers(few_carriers(), hoist_by=wrong)  # type: ignore[arg-type]


def test_no_quicker_hoist_if_not_wanted() -> None:
    assert all(pull.kind != "hoist" for pull in pulls(few_carriers(), "10%", 0))
