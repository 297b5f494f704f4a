"""A line with a tank out of use: what is lost, what is not needed, what cannot be asked."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Literal

import pytest
from rich.table import Table

from hoistopt import Effort, InputError, Problem, Stop, load_problem, solve, verify
from hoistopt.analysis.without import Without, WithoutTanks, find_without
from hoistopt.app.without import without
from hoistopt.instance.edits import without_tanks
from hoistopt.planning.result import Result, exact_time_per_load
from hoistopt.show.without import WithoutAnswer
from tests.helpers.command import CAUTION, PROBLEMS, Run, last_lines
from tests.helpers.lines.grouped import grouped
from tests.helpers.shown.csv_files import csv_table

pytestmark = pytest.mark.quick

ONE = Effort(workers=1, time_limit=60)


def test_each_tank_of_a_full_group_is_missed() -> None:
    """Two tanks in turn at a stage that holds the pace: without one the pace is that of one."""
    problem = grouped(2)
    found = find_without(problem, (), ONE)
    assert [row.tanks for row in found.rows] == [("Plate 1",), ("Plate 2",)]
    assert found.complete and found.whole.degree == 2
    for row in found.rows:
        (tank,) = row.tanks
        alone = solve(without_tanks(problem, [tank]), "best", effort=ONE)
        assert exact_time_per_load(row.result) == exact_time_per_load(alone)
        lost = row.lost(found.whole)
        assert lost is not None and Fraction(45, 100) < lost <= Fraction(1, 2)
        assert row.result.schedule is not None
        assert not any(tank in (step.source, step.target) for step in row.result.schedule)
        assert verify(problem, row.result.schedule) == ()


def test_a_tank_too_many_is_not_needed() -> None:
    """The dwell is short: the hoist holds the pace, and some tanks stand idle."""
    problem = grouped(3, least=20, most=60)
    found = find_without(problem, (), ONE)
    assert all(row.lost(found.whole) == 0 for row in found.rows)
    assert all(row.proved(found.whole) for row in found.rows)
    said = " ".join(without(problem, (), ONE).sentences())
    assert "Not needed, proved: Plate 1, Plate 2 and Plate 3." in said


def test_several_at_the_same_time() -> None:
    found = find_without(grouped(3), ["Plate 1", "Plate 3"], ONE)
    (row,) = found.rows
    assert row.tanks == ("Plate 1", "Plate 3")
    assert row.result.schedule is not None
    used = {step.target for step in row.result.schedule}
    assert not used & {"Plate 1", "Plate 3"} and "Plate 2" in used


def test_a_pace_that_one_tank_cannot_keep() -> None:
    found = find_without(grouped(2, cycle={"max": 250}), (), ONE)
    assert {row.result.status for row in found.rows} == {"infeasible"}
    assert all(row.lost(found.whole) is None for row in found.rows)


@pytest.mark.parametrize(
    ("tanks", "named"),
    [
        (["Plate 9"], "TANK = Plate 9"),
        (["Rinse"], "TANK = Rinse"),
        (["Plate 1", "Plate 2"], "stage 1"),
    ],
)
def test_what_cannot_be_out_of_use_is_refused(tanks: list[str], named: str) -> None:
    with pytest.raises(InputError, match=named):
        without(grouped(2), tanks, ONE)


def test_the_only_tank_of_another_recipe() -> None:
    """Plate 2 serves the second recipe alone; not typed it is a row, typed it is an error."""
    data = grouped(3).to_data()
    (first,) = data["recipe"]
    _, rinse = first["stage"]
    own = {"name": "Own", "stage": [{"station": "Plate 2", "min": 200, "max": 420}, rinse]}
    cycle = {"mix": {"Parts": 1, "Own": 1}, "min": 1000}  # a pace that is soon kept and proved
    problem = Problem.from_data({**data, "recipe": [first, own], "cycle": cycle})
    found = find_without(problem, (), ONE)
    status = {row.tanks: row.result.status for row in found.rows}
    assert set(status) == {("Plate 1",), ("Plate 2",), ("Plate 3",)} and found.complete
    assert status["Plate 2",] == "infeasible"
    for row in found.rows:
        if row.tanks == ("Plate 2",):
            continue
        assert row.result.schedule is not None and verify(problem, row.result.schedule) == ()
        assert row.tanks[0] not in {step.target for step in row.result.schedule}
    said = " ".join(WithoutAnswer(found).sentences())
    assert (
        'Without Plate 2 the line cannot run: recipe "Own" has no other tank for stage 1.' in said
    )
    with pytest.raises(InputError, match='recipe "Own", stage 1 = Plate 2') as refused:
        find_without(problem, ["Plate 2"], ONE)
    assert "\n" not in str(refused.value)


def test_a_recipe_of_which_no_load_is_in_the_cycle_needs_no_tank() -> None:
    data = grouped(2).to_data()
    (first,) = data["recipe"]
    own = {"name": "Own", "stage": [{"station": "Plate 2", "min": 200, "max": 420}]}
    problem = Problem.from_data({**data, "recipe": [first, own], "cycle": {"mix": {"Parts": 1}}})
    line = without_tanks(problem, ["Plate 2"])
    assert line.recipe_by_name["Parts"].stages[0].station == ("Plate 1",)


def test_a_line_without_groups_is_refused() -> None:
    with pytest.raises(InputError, match="several tanks"):
        without(load_problem(PROBLEMS / "roomy_dryer.toml"), (), ONE)


def test_a_stop_before_it_begins() -> None:
    stop = Stop()
    stop.set()
    answer = without(grouped(2), (), Effort(stop=stop))
    assert answer.outcome == "stopped"


def test_table_csv_and_json(run: Run) -> None:
    grouped(2).save("group.toml")
    limits = ("--workers", "1", "--time-limit", "60")
    code, out, _ = run("without", "group.toml", *limits, "--csv", "o.csv", "--json", "o.json")
    assert code == 0
    assert "Plate 1" in out and "Output lost" in out
    assert "Lower bound" not in out  # all are proved
    assert CAUTION in last_lines(out)
    rows = csv_table(Path("o.csv").read_text())
    assert [row["tanks_out_of_use"] for row in rows] == ["", "Plate 1", "Plate 2"]
    data = json.loads(Path("o.json").read_text())
    assert [row["tanks"] for row in data["without"]] == [["Plate 1"], ["Plate 2"]]
    assert data["all_tanks"]["degree"] == 2
    assert all(0.45 < row["share_of_output_lost"] <= 0.5 for row in data["without"])
    code, out, err = run("without", "group.toml", "Rinse")
    assert (code, out) == (2, "") and err.startswith("error: group.toml: TANK = Rinse")


def test_no_loss_is_told_of_schedules_far_from_their_bounds() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    best = solve(problem, "best", effort=ONE)
    known = best.choice
    assert known is not None and best.time_per_load is not None

    def with_bound(least: float, proved: Literal["open", "any degree"]) -> Result:
        choice = replace(known, least_of_compared=least, proved=proved)
        return replace(best, choice=choice)

    row = WithoutTanks(("T1",), ("Stage",), best)
    poor, fair = best.time_per_load / 2, best.time_per_load / 1.4
    assert row.lost(with_bound(fair, "open")) == 0
    assert row.lost(with_bound(poor, "any degree")) == 0
    for one, other in ((best, with_bound(poor, "open")), (with_bound(poor, "open"), best)):
        row = replace(row, result=one)
        assert row.lost(other) is None
        answer = WithoutAnswer(Without(problem, other, (row,), True))
        (table,) = answer.tables()
        assert isinstance(table, Table)
        shown = {str(column.header): list(column.cells) for column in table.columns}
        bounds = shown[f"Lower bound\n[{problem.unit}]"]
        assert [float(str(cell)) for cell in bounds].index(poor) == (0 if one is best else 1)
        assert all(len(str(cell).partition(".")[2]) <= 6 for cell in bounds)
        said = " ".join(answer.sentences())
        most = 50 if one is best else 0  # by half the time with it, or as proved without it
        assert f"What is lost without T1 (0.0 to {most:.1f} %) is not told more closely" in said
        assert shown["Output lost\n[%]"][1] == f"0.0 to {most:.1f}"
        (told,) = answer.data()["without"]
        assert told["share_of_output_lost_between"] == [0, most / 100]
        assert "No loss found" not in said and "Not needed" not in said
