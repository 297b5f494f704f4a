"""Problems as workbooks: nothing is lost on the way there and back, errors name the cell."""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from hoistopt import InputError, Problem, load_problem, read_moves, replay
from hoistopt.problem.files.template import invented
from hoistopt.problem.jsonschema import problem_schema
from hoistopt.problem.workbook.layout import layout
from tests.helpers.command import PROBLEMS
from tests.helpers.shown.workbooks import changed, raw_cells
from tests.helpers.wrong.options import switched_on
from tests.helpers.wrong.wrong_problems import GOOD
from tests.reference.lines import FAMILIES

ODD = """
name = "=1+1"
note = "  two lines\\n\\tand a tab; _x0041_ & <b> "
source = '""'
unit = "min"
tick = 0.000001
length_unit = ""
margin = {}
[track]
clearance = 0.1
from = -9
[cycle]
mix = { "B; b" = 2, "-A" = 1 }
order = ["B; b", "-A", "B; b"]
min = 0.1
max = 9999999.999999
[carriers]
count = 12
[[hoist]]
name = "@one"
from = -7.5
to = 50
lift = 0.3
lower = 0.123456
loaded = { speed = 0.1, acceleration = 0.7, settling = 1.1 }
empty = { speed = 10 }
unreachable = ["12", "'quoted\\""]
[[hoist]]
name = "two"
lift = 1
lower = 2
loaded = { speed = 3 }
empty = { speed = 3 }
[[station]]
name = "Load; 1"
kind = "load-unload"
position = 0
capacity = "unlimited"
min_occupation = 1.5
[[station]]
name = "12"
position = 1.1
capacity = 3
order = "any"
[[station]]
name = "'quoted\\""
kind = "dryer"
position = 2.000001
lift = 0
lower = 7
settling = 0
[[station]]
name = "TRUE"
position = 0.5
[[recipe]]
name = "-A"
load = "Load; 1"
mass = 0.7
[[recipe.stage]]
name = "#N/A"
station = ["12"]
min = 0.1
max = 0.3
drip = 0.000001
margin = { slack = 0.1 }
[[recipe.stage]]
station = ["TRUE", "12"]
min = 1
max = 3
nominal = 2
may_give_min = 0
may_give_max = 5
margin = 0.5
[[recipe]]
name = "B; b"
unload = "Load; 1"
[[recipe.stage]]
station = "'quoted\\""
min = 10
[[recipe.stage]]
station = ["TRUE"]
min = 10
[[crossing]]
from = ["TRUE", "12"]
over = ["Load; 1"]
min_drip = 0.5
[scatter]
times = ["move times triangular 0.97 1 1.15", "empty plus uniform 0 0.8"]
tolerated = 0.001
source = "Invented"
[times]
loaded = [{ from = "12", to = "Load; 1", time = 1.25 }]
empty = [{ from = "TRUE", to = "12", time = 3 }, { from = "12", to = "TRUE", time = 0 }]
"""
"""All that is odd at once: texts that a spreadsheet runs or turns into something else."""


def data_of(text: str) -> dict[str, Any]:
    return tomllib.loads(text, parse_float=Decimal)


def back(problem: Problem, path: Path) -> Problem:
    problem.save(path)
    return load_problem(path)


FILES = sorted(path for path in PROBLEMS.rglob("*.toml") if "[[station]]" in path.read_text())


@pytest.mark.quick
@pytest.mark.parametrize("path", [FILES[0], FILES[-1]], ids=lambda path: path.stem)
def test_an_example_is_read_back_equal(path: Path, tmp_path: Path) -> None:
    problem = load_problem(path)
    assert back(problem, tmp_path / "line.xlsx") == problem


def test_every_example_is_read_back_equal(tmp_path: Path) -> None:
    assert len(FILES) > 10
    for path in FILES:
        problem = load_problem(path)
        assert back(problem, tmp_path / "line.xlsx") == problem, path


@pytest.mark.parametrize(
    "seeds", [range(1), pytest.param(range(1, 60), marks=pytest.mark.long)], ids=len
)
def test_random_lines_are_read_back_equal(seeds: range, tmp_path: Path) -> None:
    for make in FAMILIES.values():
        for seed in seeds:
            problem = make(seed).problem
            assert back(problem, tmp_path / "line.xlsx") == problem


def test_the_template_with_all_options_is_read_back_equal(tmp_path: Path) -> None:
    data = data_of(switched_on())
    for key in ("loaded_file", "empty_file"):
        data["times"].pop(key, None)
    problem = Problem.from_data(data)
    assert back(problem, tmp_path / "line.xlsx") == problem
    assert "nvented" in invented().note


ONE_HOIST, SEVERAL = ("track",), ("margin", "scatter", "times")
"""What a line with one hoist, and one with several, cannot state."""


@pytest.mark.parametrize("left_out", [ONE_HOIST, SEVERAL], ids=["one", "several"])
def test_what_is_odd_is_read_back_equal_and_nothing_of_it_is_a_formula(
    left_out: tuple[str, ...], tmp_path: Path
) -> None:
    data = {key: value for key, value in data_of(ODD).items() if key not in left_out}
    if left_out is ONE_HOIST:
        data["hoist"] = data["hoist"][:1]
    else:
        for stage in data["recipe"][0]["stage"]:
            del stage["margin"]
    problem = Problem.from_data(data)
    assert back(problem, tmp_path / "line.xlsx") == problem
    cells = raw_cells(tmp_path / "line.xlsx")
    assert {kind for kind, _ in cells} == {"n", "inlineStr"}
    assert ("inlineStr", "=1+1") in cells and ("n", "0.123456") in cells


def test_every_key_of_a_problem_file_has_a_place() -> None:
    """Those of the schema, walked through by themselves; files of tables aside."""
    kinds = problem_schema(Problem, short_forms=False)["$defs"]

    def leaves(value: Any) -> int:
        options = [value, *value.get("anyOf", ())]
        links = [option.get("$ref") or option.get("items", {}).get("$ref") for option in options]
        kind = next((link.rpartition("/")[2] for link in links if link), None)
        if kind is None:
            return 1
        return sum(
            leaves(inner)
            for key, inner in kinds[kind]["properties"].items()
            if not key.endswith("_file")
        )

    properties = problem_schema(Problem, short_forms=False)["properties"]
    wanted = sum(leaves(value) for value in properties.values())
    found = layout(Problem)
    columns = sum(len(table.columns) for table in found.tables)
    entries = len(found.times) * len(found.entry)
    assert len(found.line) + 1 + columns + entries == wanted


# -- as people change it ---------------------------------------------------------------


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "line.xlsx"
    Problem.from_data(data_of(GOOD)).save(path)
    return path


def put(sheet: str, cell: str, value: Any, form: str | None = None) -> Callable[[Any], None]:
    def change(book: Any) -> None:
        book[sheet][cell] = value
        if form:
            book[sheet][cell].number_format = form

    return change


def rename(sheet: str, name: str) -> Callable[[Any], None]:
    def change(book: Any) -> None:
        book[sheet].title = name

    return change


def split_recipe(book: Any) -> None:
    book["Recipes"].append(["B", None, "Bath", 5])
    book["Recipes"].append(["A", None, "Bath", 5])


WRONG = {
    "text for a number": (put("Stations", "C3", "two"), "Stations!C3", "two", "a number"),
    "unknown station": (put("Recipes", "C2", "Bth"), "Recipes!C2", "Bth", 'Did you mean "Bath"?'),
    "unknown kind": (put("Stations", "B3", "tub"), "Stations!B3", "tub", "dryer"),
    "formula": (put("Recipes", "D2", "=15*2"), "Recipes!D2", "=15*2", "not a formula"),
    "error in a cell": (put("Recipes", "D2", "#REF!"), "Recipes!D2", "#REF!", "error"),
    "a rule of the line": (put("Recipes", "E2", 29.5), "Recipes!E2", "29.5", "30"),
    "a name twice": (put("Stations", "A4", "Bath"), "Stations!A4", "Bath", "Station 2"),
    "no name": (put("Stations", "A4", None), "Stations, row 4", "", "name"),
    "unknown column": (put("Stations", "C1", "positon [m]"), "Stations!C1", "positon", "position"),
    "another unit": (put("Recipes", "D1", "min [min]"), "Recipes!D1", "[min]", "unit of the line"),
    "unknown unit": (put("Line", "C5", "week"), "Line!C5", "week", "'min' or 'h'"),
    "neither yes nor no": (put("Stations", "L3", "so"), "Stations!L3", "so", "true or false"),
    "unknown key": (put("Line", "B2", "nme"), "Line!B2", "nme", "Did you mean line, name"),
    "misspelt sheet": (rename("Crossings", "Crosings"), "sheet", "Crosings", '"Crossings"'),
    "missing sheet": (rename("Recipes", "R"), "line.xlsx", "", 'a sheet "Recipes"'),
    "a recipe in two places": (split_recipe, "Recipes!A5", "A", "together"),
    "hours and minutes": (
        put("Recipes", "D2", datetime.time(1, 30), "h:mm"), "Recipes!D2", "1:30:00", "0:01:30",
    ),
    "a date": (put("Recipes", "D2", datetime.datetime(2024, 5, 1)), "Recipes!D2", "2024", "date"),
    "yes for a number": (put("Recipes", "D2", True), "Recipes!D2", "true", "a number"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG, ids=str)
def test_what_is_wrong_is_one_line_with_sheet_and_cell(case: str, book: Path) -> None:
    change, place, value, expected = WRONG[case]
    with pytest.raises(InputError) as refused:
        load_problem(changed(book, change))
    told = str(refused.value)
    assert "line.xlsx" in told and place in told and value in told and expected in told
    assert "\n" not in told


@pytest.mark.parametrize(
    ("value", "form", "seconds"),
    [
        ("1 min 10 s", None, "70"),
        ("45.5", None, "45.5"),
        (0.1 + 0.2, None, "0.3"),
        (datetime.timedelta(minutes=1, milliseconds=500), "[h]:mm:ss", "60.5"),
        (datetime.time(0, 1, 30), "h:mm:ss", "90"),
        (datetime.time(0, 1, 30), "mm:ss", "90"),
    ],
)
def test_times_as_people_write_them(value: Any, form: str | None, seconds: str, book: Path) -> None:
    def change(opened: Any) -> None:
        put("Recipes", "D2", value, form)(opened)
        opened["Recipes"]["E2"] = None

    found = load_problem(changed(book, change))
    assert found.recipes[0].stages[0].min == Decimal(seconds)


def test_what_people_keep_beside_the_tables_is_not_read(book: Path) -> None:
    def change(opened: Any) -> None:
        sheet = opened["Stations"]
        column = sheet.max_column + 2
        sheet.cell(1, column).value = "my remarks"
        sheet.cell(3, column).value = "=1/0"
        opened.create_sheet("Scratch")["A1"] = "=NOW()"
        sheet.insert_rows(3)  # an empty row

    before = load_problem(book)
    assert load_problem(changed(book, change)) == before


def test_a_name_typed_as_a_number_and_a_name_left_out_below_are_understood(book: Path) -> None:
    def change(opened: Any) -> None:
        opened["Stations"]["A3"] = 7
        opened["Recipes"]["C2"] = 7
        opened["Recipes"]["A3"] = None

    found = load_problem(changed(book, change))
    assert found.stations[1].name == "7"
    assert [stage.station for stage in found.recipes[0].stages] == [("7",), ("Hot",)]


@pytest.mark.quick
def test_the_example_holds_a_line_and_a_cycle_of_it() -> None:
    path = PROBLEMS / "workbook" / "three_tanks_dryer.xlsx"
    line = load_problem(path)
    assert line == load_problem(PROBLEMS / "three_tanks_dryer.toml")
    assert replay(line, read_moves(path, line)).clean
    assert "nvented" in openpyxl.load_workbook(path)["Read me"]["A2"].value


def test_the_form_is_made_for_people(book: Path) -> None:
    opened = openpyxl.load_workbook(book)
    assert opened.sheetnames[:3] == ["Read me", "Line", "Hoist"]
    for sheet in opened.worksheets:
        assert sheet.freeze_panes is not None
        assert "not a safety function" in sheet.oddFooter.center.text
    stages, stations = opened["Recipes"], opened["Stations"]
    assert [cell.value for cell in stages[1]][:5] == [
        "recipe", "stage", "station", "min [s]", "max [s]",
    ]  # fmt: skip
    assert all(cell.comment for cell in stations[1])
    lists = {
        str(one.sqref).split(":")[0]: one.formula1
        for one in stations.data_validations.dataValidation
    }
    assert lists["B2"] == '"tank,dryer,load,unload,load-unload,park"'
    single = {
        str(one.sqref): one.formula1 for one in opened["Line"].data_validations.dataValidation
    }
    assert single["C5"] == '"ms,s,min,h"' and opened["Line"]["B5"].value == "unit"
    named = [one.formula1 for one in stages.data_validations.dataValidation]
    assert "Stations!$A$2:$A$301" in named
