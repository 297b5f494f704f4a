"""The problem file: what it may say, how exactly it is read, its template and schema."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from hoistopt import InputError, load_problem
from hoistopt.base.errors import printable, shortened
from hoistopt.base.numbers.exact import exact_number
from hoistopt.base.text import STANDING
from hoistopt.problem import Problem
from hoistopt.problem.files.template import TEMPLATE
from hoistopt.problem.jsonschema import problem_schema
from tests.helpers.wrong.options import options, switched_on

pytestmark = pytest.mark.quick

PROBLEMS = sorted((Path(__file__).parents[2] / "problems").glob("*.toml"))
PUBLISHED = Path(__file__).parents[2] / "problems" / "phillips_unger_1976.toml"


def from_text(text: str) -> Problem:
    return Problem.from_data(tomllib.loads(text, parse_float=Decimal))


def line(**more: Any) -> dict[str, Any]:
    """Plain data of a small line, with some of its keys replaced."""
    return {
        "name": "Line",
        "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 1}},
        "station": [
            {"name": "In", "kind": "load", "position": 0},
            {"name": "Bath", "position": 2},
            {"name": "Out", "kind": "unload", "position": 4},
        ],
        "recipe": [{"name": "A", "stage": [{"station": "Bath", "min": 30, "max": 60}]}],
        **more,
    }


# -- files -----------------------------------------------------------------------


@pytest.mark.parametrize("path", PROBLEMS, ids=lambda path: path.stem)
def test_every_problem_file_loads_and_survives_a_round_trip(path: Path) -> None:
    problem = load_problem(path)
    assert Problem.from_data(problem.to_data()) == problem


def test_the_published_table_is_read_whole() -> None:
    """Phillips and Unger (1976), as reprinted with Wallace and Yorke-Smith (2020)."""
    problem = load_problem(PUBLISHED)
    with PUBLISHED.with_name("phillips_unger_1976_empty.csv").open() as file:
        rows = list(csv.reader(file))
    assert len(problem.empty_times) == (len(rows) - 1) ** 2
    for row in rows[1:]:
        for target, cell in zip(rows[0][1:], row[1:], strict=True):
            assert problem.empty_times[row[0], target] == Decimal(cell)


def test_entries_in_the_file_go_before_those_of_the_csv(tmp_path: Path) -> None:
    (tmp_path / "times.csv").write_text("from,In,Out\nIn,0,3.5\nOut,4.25,\n")
    text = switched_on().split("[times]")[0].replace('"Load"', '"In"').replace('"Unload"', '"Out"')
    entry = 'empty = [ { from = "In", to = "Out", time = 9.1 } ]'
    (tmp_path / "line.toml").write_text(f'{text}[times]\nempty_file = "times.csv"\n{entry}\n')
    times = load_problem(tmp_path / "line.toml").empty_times
    assert times == {
        ("In", "Out"): Decimal("9.1"),
        ("In", "In"): Decimal(0),
        ("Out", "In"): Decimal("4.25"),
    }


def test_a_byte_order_mark_and_windows_line_ends_are_no_trouble(tmp_path: Path) -> None:
    path = tmp_path / "line.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEMPLATE.replace("\n", "\r\n").encode())
    assert load_problem(path).name == "My line"


# -- numbers ---------------------------------------------------------------------


@given(st.integers(-(10**13), 10**13))
def test_numbers_of_six_decimals_are_read_exactly(millionths: int) -> None:
    number = Decimal(millionths).scaleb(-6)
    assert exact_number(number) == number
    assert exact_number(float(f"{number:f}")) == number


@given(st.integers(1, 10**13), st.integers(7, 60))
@example(30 * 10**34 + 1, 34)
def test_a_seventh_decimal_that_counts_is_refused(digits: int, places: int) -> None:
    number = Decimal(f"{digits}E-{places}")
    if digits % 10 and number < 10**7:
        with pytest.raises(ValueError, match="6 decimals"):
            exact_number(number)


def test_zeros_behind_the_sixth_decimal_do_no_harm() -> None:
    assert exact_number(Decimal("1.2000000000")) == Decimal("1.2")
    assert str(exact_number(Decimal("1.2E+2"))) == "120"


@pytest.mark.parametrize("value", [True, "3", None, [3], float("nan"), float("inf"), 10**7 + 1])
def test_what_is_no_ordinary_number_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="number"):
        exact_number(value)


# -- rules that tie the parts together ---------------------------------------------


def test_a_crossing_needs_positions() -> None:
    stations = line()["station"]
    del stations[1]["position"]
    times = {
        key: [
            {"from": source["name"], "to": target["name"], "time": 5}
            for source in stations
            for target in stations
            if source is not target
        ]
        for key in ("loaded", "empty")
    }
    assert Problem.from_data(line(station=stations, times=times)).name == "Line"
    with pytest.raises(InputError, match="crossings depend"):
        Problem.from_data(
            line(station=stations, times=times, crossing=[{"from": ["In"], "over": ["Bath"]}])
        )


def test_return_by_hoist_needs_two_stations() -> None:
    stations = line()["station"][:2]
    stations[0]["kind"] = "load-unload"
    assert Problem.from_data(line(station=stations)).name == "Line"
    with pytest.raises(InputError, match="one station"):
        Problem.from_data(line(station=stations, carriers={"return": "hoist"}))


def test_a_shared_station_is_both_ends_of_a_recipe() -> None:
    stations = line()["station"]
    stations[0]["kind"] = "load-unload"
    recipes = line()["recipe"]
    recipes[0].update(load="In", unload="Out")
    with pytest.raises(InputError, match="both ends"):
        Problem.from_data(line(station=stations, recipe=recipes))


def test_an_empty_travel_without_a_time_is_found() -> None:
    hoist = line()["hoist"]
    del hoist["empty"]
    with pytest.raises(InputError, match="speeds for the empty hoist, needed from In to Bath"):
        Problem.from_data(line(hoist=hoist))


def test_alternatives_are_named_once() -> None:
    recipes = line()["recipe"]
    recipes[0]["stage"][0]["station"] = ["Bath", "Bath"]
    with pytest.raises(InputError, match="each alternative station once"):
        Problem.from_data(line(recipe=recipes))


def test_a_dwell_may_be_exactly_one_time() -> None:
    recipes = line()["recipe"]
    recipes[0]["stage"][0].update(min=60, max=60)
    assert Problem.from_data(line(recipe=recipes)).recipes[0].stages[0].max == 60


# -- errors ------------------------------------------------------------------------


@given(st.text())
def test_an_error_is_one_printable_line_whatever_is_in_it(text: str) -> None:
    error = InputError(text, field=text, value=text, way_out=text, file=text or None)
    assert str(error).isprintable()
    assert len(shortened("x" * 1000, 60)) == 60


def test_printable_text_is_left_alone() -> None:
    assert printable("Spülen 1, 60 °C") == "Spülen 1, 60 °C"


# -- template ----------------------------------------------------------------------


def test_the_template_states_the_caution_in_full() -> None:
    prose = [line[2:] for line in TEMPLATE.splitlines() if line.startswith("# ")]
    assert STANDING in " ".join(prose)


def test_the_template_is_a_valid_problem() -> None:
    assert from_text(TEMPLATE).recipes[0].stages


@pytest.mark.parametrize("option", options(), ids=lambda o: TEMPLATE.splitlines()[o.start][:24])
def test_each_option_of_the_template_is_valid_when_switched_on(option: range) -> None:
    assert from_text(switched_on(option)) != from_text(TEMPLATE)


def test_all_options_together_are_valid() -> None:
    assert from_text(switched_on())


def _keys(schema: dict[str, Any], part: dict[str, Any], path: str = "") -> Iterator[str]:
    """Every key a problem file may have, as a dotted path."""
    part = schema["$defs"][part["$ref"].rsplit("/", 1)[1]] if "$ref" in part else part
    for key, value in part.get("properties", {}).items():
        yield f"{path}{key}"
        several = next((one for one in value.get("anyOf", ()) if "items" in one), value)
        yield from _keys(schema, several.get("items", several), f"{path}{key}.")


def _used(data: Any, path: str = "") -> Iterator[str]:
    for entry in data if isinstance(data, list) else [data]:
        if isinstance(entry, dict):
            for key, value in entry.items():
                yield f"{path}{key}"
                yield from _used(value, f"{path}{key}.")


def test_the_template_shows_every_key_of_the_schema() -> None:
    schema = problem_schema(Problem)
    text = switched_on()
    shown = set(_used(tomllib.loads(text)))
    # A second file would be needed for these two, so they stay in the prose.
    in_prose = {key for key in ("times.loaded_file", "times.empty_file") if key[6:] in text}
    twin = {"hoist.empty.settling"}  # shown for the loaded hoist, "same keys" for the empty
    # A change may hold every key of a stage, and the template says so.
    twin |= {f"recipe.change.{key}" for key in schema["$defs"]["Stage"]["properties"]}
    assert {"recipe.like", "recipe.change.stage", "recipe.change.left_out"} <= shown
    assert set(_keys(schema, schema)) - shown - in_prose - twin == set()
