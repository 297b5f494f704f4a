"""Parallel stations, designs from a table, and which of all points are worth their cost."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import pytest

from hoistopt import InputError, solve
from hoistopt.analysis.study import read_parameter
from hoistopt.analysis.study.design import from_rows, grid
from hoistopt.analysis.study.effect import without_effect
from hoistopt.analysis.study.listing import read_designs
from hoistopt.analysis.study.parameter import parameters_of
from hoistopt.analysis.study.points import efficient
from hoistopt.problem import Problem
from tests.helpers.studying import line

# -- parallel stations -----------------------------------------------------------------


def stations(problem: Problem) -> dict[str, Any]:
    return {station.name: station.position for station in problem.stations}


def test_copies_stand_next_to_their_station_and_the_rest_moves_on() -> None:
    # Quillhaven: the least distance between two stations is 0.9 m.
    before = line("quillhaven_anodising")
    design = grid(before, [read_parameter("parallel(Seal) = 3")])[0]
    places = stations(design.problem)
    assert places["Seal (2)"] == Decimal("11.4") and places["Seal (3)"] == Decimal("12.3")
    assert places["Dryer"] == Decimal("13.6") and places["Unload"] == Decimal("14.8")
    assert all(places[name] == at for name, at in stations(before).items() if at <= 10.5)
    stage = next(s for s in design.problem.recipes[0].stages if s.station[0] == "Seal")
    assert stage.station == ("Seal", "Seal (2)", "Seal (3)")


def test_copies_stand_where_they_are_put_and_serve_every_stage_alike() -> None:
    given = ["parallel(DI rinse, 14.5) = 2", "station(DI rinse).lift = 11"]
    before = line("quillhaven_anodising")
    problem = grid(before, parameters_of(given))[0].problem
    assert stations(problem) == {**stations(before), "DI rinse (2)": Decimal("14.5")}
    served = [s.label for s in problem.recipes[0].stages if "DI rinse (2)" in s.station]
    assert served == ["Rinse after anodising", "Rinse after sealing"]
    assert problem.station_by_name["DI rinse (2)"].lift == 11


def test_one_is_the_line_as_it_is_and_none_takes_the_station_out() -> None:
    before = line("quillhaven_anodising")
    none, one = grid(before, [read_parameter("parallel(Anodise B) = 0, 1")])
    assert one.problem == before
    stage = next(s for s in none.problem.recipes[0].stages if s.label == "Anodise")
    assert stage.station == ("Anodise A",)


def test_copies_are_limited_like_their_station() -> None:
    data = line("hoist_limits").to_data()
    assert "crossing" in data
    over = data["crossing"][0]["over"][0]
    problem = grid(Problem.from_data(data), [read_parameter(f"parallel({over}) = 2")])[0].problem
    assert f"{over} (2)" in problem.crossings[0].over


def test_a_tank_copied_with_its_tabled_times_is_a_tank_of_two_places() -> None:
    # Two tanks at one place with the same times are one tank for two carriers, if those
    # may leave in any order: the same least cycle time, worked out by other constraints.
    published = line("phillips_unger_1976")
    copied = grid(published, [read_parameter("parallel(Tank 9) = 2")], 2)[0]
    wide = ["station(Tank 9).capacity = 2", "station(Tank 9).order = any"]
    widened = grid(published, parameters_of(wide), 2)[0]
    results = [solve(design.problem, 2, workers=1) for design in (copied, widened)]
    assert {result.status for result in results} == {"optimal"}
    assert results[0].cycle_time == results[1].cycle_time


# -- designs ---------------------------------------------------------------------------


def test_designs_come_from_a_table(tmp_path: Path) -> None:
    table = tmp_path / "designs.csv"
    table.write_text(
        'name,parallel(Dryer),"hoist.lift + hoist.lower",stage(Wash).max,cost\n'
        "as it is,,,,0\nbigger,2,,,45000\nquicker,1,4.5,none,12000.5\n"
    )
    designs = from_rows(line(), read_designs(table), degree=2)
    assert [design.label for design in designs] == ["as it is", "bigger", "quicker"]
    assert [design.cost for design in designs] == [0, 45000, Decimal("12000.5")]
    assert [design.degree for design in designs] == [2, 2, 2]
    assert designs[0].problem == line()
    assert len(designs[1].problem.stations) == len(line().stations) + 1
    quick = designs[2].problem
    assert quick.hoist.lift == quick.hoist.lower == Decimal("4.5")
    assert quick.recipes[0].stages[0].max is None


BAD_TABLES = {
    "": "header and at least one design",
    "degree\n": "header and at least one design",
    "degree,degree\n1,2\n": "each column once",
    "degree\n1,2\n": "design 1",
    "nothing here\n1\n": "key of the problem file",
    "cost\nfree\n": "design 1, cost",
    'degree\n"1': "CSV",
    "degree\n1\nx@y\n": "design 2, degree",
}


@pytest.mark.parametrize("text", BAD_TABLES)
def test_a_table_that_cannot_be_used_is_refused(text: str, tmp_path: Path) -> None:
    table = tmp_path / "designs.csv"
    table.write_text(text)
    with pytest.raises(InputError) as caught:
        from_rows(line(), read_designs(table))
    assert BAD_TABLES[text] in str(caught.value)
    assert "designs.csv" in str(caught.value)


def test_a_design_that_is_no_problem_is_told_by_its_number() -> None:
    with pytest.raises(InputError, match=r"design 2, with stage\(Wash\).max = 1"):
        from_rows(line(), [{"degree": 1}, {"stage(Wash).max": 1}])
    with pytest.raises(InputError, match="at least one"):
        from_rows(line(), [])


# -- what makes a difference, and what is beaten ---------------------------------------


def test_a_figure_that_tables_override_makes_no_difference() -> None:
    given = ["hoist.lift = 1, 2", "degree = 1, 2", "stage(Tank 1).max = 200, 210"]
    designs = grid(line("phillips_unger_1976"), parameters_of(given))
    assert without_effect(designs, [p.name for p in parameters_of(given)]) == ("hoist.lift",)
    assert without_effect(designs[:1], ["degree"]) == ()


@pytest.mark.parametrize("seed", range(20))
def test_the_frontier_is_what_nothing_beats(seed: int) -> None:
    rng = Random(seed)
    things = [
        (n, Decimal(rng.randint(0, 6)), Fraction(rng.randint(0, 8), 3))
        for n in range(rng.randint(0, 14))
    ]
    # By the definition: no other costs no more and yields no less, and differs in either.
    unbeaten = {
        (cost, gained)
        for _, cost, gained in things
        if not any(c <= cost and g >= gained and (c, g) != (cost, gained) for _, c, g in things)
    }
    found = efficient(things)
    assert [(things[n][1], things[n][2]) for n in found] == sorted(unbeaten)


@pytest.mark.parametrize("sign", ["\x1b[31m", "\u202e", "\u200b", "\u3164", "\n"])
def test_a_design_has_no_unseen_signs_in_its_name(tmp_path: Path, sign: str) -> None:
    path = tmp_path / "designs.csv"
    path.write_text(f'name,hoist.empty.speed\n"a{sign}b",0.5\n', encoding="utf-8")
    for rows in (read_designs(path), [{"name": f"a{sign}b", "hoist.empty.speed": 0.5}]):
        with pytest.raises(InputError, match=r"design 1, name.*printable characters") as refusal:
            from_rows(line(), rows)
        assert str(refusal.value).isprintable()


def test_a_table_of_designs_beyond_all_use_is_refused_soon(tmp_path: Path) -> None:
    path = tmp_path / "designs.csv"
    path.write_text(",".join(f"station(A{n}).position" for n in range(60_000)) + "\n1\n")
    with pytest.raises(InputError, match="at most 1000 cells"):
        read_designs(path)
    path.write_text("degree\n" + "1\n" * 50_000)
    with pytest.raises(InputError, match="at most 2001 rows"):
        read_designs(path)
