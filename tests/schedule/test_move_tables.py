"""Files of moves: what is read from them and what is refused."""

from __future__ import annotations

import json
from contextlib import suppress
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoistopt.base.errors import InputError
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step
from hoistopt.schedule.csv_moves import moves_from_csv
from hoistopt.schedule.files import read_moves, schedule_to_data
from hoistopt.schedule.json_moves import moves_from_json

pytestmark = pytest.mark.quick

# Invented line; its names are picked to be awkward in a CSV file.
DATA = {
    "name": "Invented test line",
    "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 0.5}, "empty": {"speed": 1}},
    "station": [
        {"name": "Bench", "kind": "load-unload", "position": 0},
        {"name": "=Rinse", "position": 1},
        {"name": "'-Dip", "position": 2},
        {"name": "Bain n° 3, chaud", "position": 3},
    ],
    "recipe": [
        {"name": "Short", "stage": [{"station": "=Rinse", "min": 10}]},
        {
            "name": "+Long",
            "stage": [{"station": "=Rinse", "min": 10}, {"station": "'-Dip", "min": 10}],
        },
    ],
    "cycle": {"mix": {"Short": 1, "+Long": 1}},
}
LINE = Problem.from_data(DATA)
GOOD = "start,from,to,cycle_time\n0,Bench,=Rinse,100\n12.5,=Rinse,Bench,\n"


def refusal(text: str, *, data: bool = False) -> str:
    with pytest.raises(InputError) as caught:
        (moves_from_json if data else moves_from_csv)(text, LINE)
    return str(caught.value)


def test_a_minimal_table_is_read_with_exact_times():
    schedule = moves_from_csv(GOOD, LINE)
    assert schedule.cycle == 1000
    assert schedule.ticks_per_unit == 10
    assert [(s.start, s.source, s.target, s.recipe) for s in schedule] == [
        (0, "Bench", "=Rinse", None),
        (125, "=Rinse", "Bench", None),
    ]


def test_ticks_are_the_coarsest_power_of_ten_that_fits():
    assert moves_from_csv(GOOD.replace("12.5", "12.500"), LINE).ticks_per_unit == 10
    assert moves_from_csv(GOOD.replace("12.5", "12"), LINE).ticks_per_unit == 1
    assert moves_from_csv(GOOD.replace(",100\n", ",100.001\n"), LINE).ticks_per_unit == 1000
    assert moves_from_csv(GOOD.replace("12.5", "0.1e2"), LINE).steps[1].start == 10


def test_every_optional_column_is_read():
    text = (
        "step,start,from,to,recipe,load,stage,boundaries,cycle_time,dwell,note\n"
        '1,0,Bench,=Rinse,Short,1,0,0,100,,"late\nshift"\n'
        '2,20,=Rinse,"Bain n° 3, chaud",+Long,2,1,1,100,14.5,x\n'
    )
    assert moves_from_csv(text, LINE).steps == (
        Step(0, "Bench", "=Rinse", "Short", 1, 0, 0),
        Step(20, "=Rinse", "Bain n° 3, chaud", "+Long", 2, 1, 1),
    )


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD.replace("\n", "\r"),
        GOOD.replace(",", ";"),
        GOOD.replace(",", ";").replace("12.5", "12,5"),
        GOOD.replace(",", "\t"),
        GOOD.replace("start,from,to,cycle_time", " Start , From ,TO,Cycle Time"),
        GOOD.replace("start,", "start [s],"),
        GOOD.replace("start,", "start (s),").replace("cycle_time", "cycle_time[s]"),
        GOOD.replace("\n", ",,\n"),
        "\n\n" + GOOD.replace("\n", "\n,,,\n"),
        "# cycle_time = 100\nstart,from,to\n0,Bench,=Rinse\n12.5,=Rinse,Bench\n",
        '# made up\n"# cycle_time: 100";;\nstart;from;to\n0;Bench;=Rinse\n12,5;=Rinse;Bench\n',
        "to,from,#,start,cycle_time\n=Rinse,Bench,1,0,100\nBench,=Rinse,2,12.5,100.0",
        "#,start,from,to,cycle_time\n1,0,Bench,=Rinse,100\n2,12.5,=Rinse,Bench,",
        '"start","from","to","cycle_time"\n"12.5","=Rinse","Bench","100"\n"0","Bench","=Rinse",""',
    ],
)
def test_the_same_table_as_other_programs_would_save_it(text: str, tmp_path: Path):
    path = tmp_path / "moves.csv"
    path.write_bytes(text.encode())
    assert read_moves(path, LINE) == moves_from_csv(GOOD, LINE)


def test_a_formula_guard_is_undone_only_where_the_name_needs_it():
    text = (
        "start,from,to,recipe,cycle_time\n0,Bench,'=Rinse,'+Long,100\n9,'=Rinse,'-Dip,'+Long,100\n"
    )
    steps = moves_from_csv(text, LINE).steps
    assert [(s.source, s.target, s.recipe) for s in steps] == [
        ("Bench", "=Rinse", "+Long"),
        ("=Rinse", "'-Dip", "+Long"),
    ]
    assert "'Bench" in refusal(GOOD.replace("0,Bench", "0,'Bench"))


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("", ["header row"]),
        (" \n\n", ["header row"]),
        ("# cycle_time = 4\n", ["header row"]),
        ("start,from,to,cycle_time\n", ["at least one move"]),
        (GOOD.replace("start", "when"), ['a column "start"', "row 1"]),
        (GOOD.replace("from", "origin"), ['a column "from"']),
        (GOOD.replace(",to,", ",target,"), ['a column "to"']),
        (GOOD.replace("cycle_time", "comment"), ["the cycle time"]),
        (GOOD.replace("cycle_time", "cycletime"), ['Did you mean "cycle_time"?']),
        (GOOD.replace(",100\n", ",\n"), ["the cycle time"]),
        (GOOD.replace("cycle_time", "start"), ["each column once", "start"]),
        (GOOD.replace("cycle_time", "Start [s]"), ["each column once", "Start [s]"]),
        (GOOD.replace("start", "start [min]"), ['unit of the problem, "s"', "start [min]"]),
        (GOOD.replace("12.5", "soon"), ['row 3, column "start" = soon', "a number"]),
        (GOOD.replace("12.5", ""), ['row 3, column "start"', "empty"]),
        (GOOD.replace("12.5", "nan"), ["row 3", "finite"]),
        (GOOD.replace("12.5", "inf"), ["row 3", "finite"]),
        (GOOD.replace("12.5", "1_0"), ["row 3", "a number"]),
        (GOOD.replace("12.5", "1e999999999"), ["row 3", "number"]),
        (GOOD.replace("12.5", "0.0000001"), ["row 3", "6 decimals"]),
        (GOOD.replace("12.5", "-1"), ["row 3", "at least 0"]),
        (GOOD.replace("12.5", "100"), ["row 3", "below the cycle time, which is 100"]),
        (GOOD.replace("12.5,=Rinse", "12.5,Rinse"), ['column "from" = Rinse', '"=Rinse"?']),
        (GOOD.replace("12.5,=Rinse", "12.5,"), ['row 3, column "from"', "empty"]),
        (GOOD.replace("=Rinse,Bench", "=Rinse,Attic"), ['column "to" = Attic', "Known: Bench"]),
        (GOOD.replace(",100", ",0"), ['row 2, column "cycle_time"', "above 0"]),
        (GOOD.replace("Bench,\n", "Bench,99\n"), ["row 3", "one cycle time", "says 100"]),
        ("# cycle_time = 99\n" + GOOD, ["one cycle time; row 1"]),
        ("# by hand\n\n" + GOOD.replace("12.5", "soon"), ['row 5, column "start"']),
        ("# cycle_time = long\n" + GOOD, ["row 1, cycle_time", "a number"]),
        (GOOD.replace(",100", ",100,7"), ["row 2", "at most 4 cells"]),
        (GOOD.replace(",", ";").replace("12.5", "1,250"), ["row 3", "one way only"]),
        (GOOD.replace("12.5", '"12,5"'), ["row 3", "a number"]),
        ('start,from,to\n0,"' + "x" * 200_000 + '",b\n', ["row 2", "CSV"]),
        ("start,from,to\0", ["a text file"]),
    ],
)
def test_a_bad_table_is_refused_in_one_sentence_naming_the_place(text: str, parts: list[str]):
    message = refusal(text)
    assert "\n" not in message
    for part in parts:
        assert part in message


@pytest.mark.parametrize(
    ("column", "value", "part"),
    [
        ("recipe", "Middling", "name of a recipe"),
        ("load", "0", "whole number from 1"),
        ("load", "1.5", "whole number from 1"),
        ("load", "first", "a number"),
        ("stage", "-1", "whole number from 0"),
        ("stage", "3", "0 to 2"),
        ("boundaries", "-1", "whole number from 0"),
        ("boundaries", "1000000", "whole number from 0"),
    ],
)
def test_bad_values_in_optional_columns_name_row_and_column(column: str, value: str, part: str):
    text = f"start,from,to,cycle_time,{column}\n0,Bench,=Rinse,100,{value}\n"
    message = refusal(text)
    assert f'row 2, column "{column}" = {value}' in message
    assert part in message


@pytest.mark.parametrize(
    "text",
    [
        # One cell too many; a row that is just as long, for an empty column; a quoted number.
        "start,from,to,cycle_time\n0,Bench,=Rinse,100\n12,5,=Rinse,Bench,\n",
        "start,from,to,cycle_time,load\n0,Bench,=Rinse,100,1\n12,5,=Rinse,Bench,\n",
        'start,from,to,cycle_time\n0,Bench,=Rinse,100\n"12,5",=Rinse,Bench,\n',
        "# cycle_time = 100,5\nstart,from,to\n0,Bench,=Rinse\n12,=Rinse,Bench\n",
    ],
)
def test_a_decimal_comma_between_commas_is_told_how_to_be_written(text: str):
    told = refusal(text)
    assert "decimals take a point, 12.5" in told and "semicolons" in told
    fixed = text.replace('"12,5"', "12.5").replace("12,5", "12.5").replace("100,5", "100.5")
    assert len(moves_from_csv(fixed, LINE).steps) == 2


def test_a_name_with_a_comma_is_told_to_be_quoted():
    told = refusal("start,from,to,cycle_time\n0,Bench,Bain n° 3, chaud,100\n")
    assert "quotes" in told and "decimals" not in told


def test_the_stage_is_held_against_the_recipe_that_is_named():
    text = "start,from,to,cycle_time,recipe,stage\n0,Bench,=Rinse,100,{},2\n"
    assert moves_from_csv(text.format("+Long"), LINE).steps[0].stage == 2
    assert "0 to 1" in refusal(text.format("Short"))


def test_json_by_hand_needs_only_the_essentials():
    moves = [{"start": 0, "from": "Bench", "to": "=Rinse", "load": None, "colour": "red"}]
    text = json.dumps({"moves": moves, "cycle_time": 60.25})
    assert moves_from_json(text, LINE) == Schedule(
        6025, Fraction(100), (Step(0, "Bench", "=Rinse"),)
    )


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("{", ["a JSON file"]),
        ("[]", ["an object"]),
        ("[" * 100_000, ["depth"]),
        ("{}", ["cycle_time", "present"]),
        ('{"cycle_time": 5}', ["moves", "present"]),
        ('{"cycle_time": 5, "moves": []}', ["at least one move"]),
        ('{"cycle_time": null, "moves": [], "status": "infeasible"}', ["status = infeasible"]),
        ('{"cycle_time": 5, "cycle_time": 6}', ["each key once", "cycle_time"]),
        ('{"cycle_time": "5", "moves": []}', ["a number"]),
        ('{"cycle_time": true, "moves": []}', ["a number"]),
        ('{"cycle_time": NaN, "moves": []}', ["finite"]),
        ('{"cycle_time": -Infinity, "moves": []}', ["finite"]),
        ('{"cycle_time": 0, "moves": []}', ["above 0"]),
        ('{"cycle_time": [5], "moves": []}', ["single value"]),
        ('{"cycle_time": 5, "moves": {}}', ["a list"]),
        ('{"cycle_time": 5, "moves": [7]}', ["moves, entry 1", "an object"]),
        ('{"cycle_time": ' + "9" * 6000 + "}", ["ordinary size"]),
        ('{"cycle_time": 1e99999999999999999999}', ["number"]),
    ],
)
def test_bad_json_is_refused_in_one_sentence(text: str, parts: list[str]):
    message = refusal(text, data=True)
    assert "\n" not in message
    for part in parts:
        assert part in message


@pytest.mark.parametrize(
    ("key", "value", "part"),
    [
        ("start", None, "present"),
        ("start", "0", "a number"),
        ("start", -1, "at least 0"),
        ("start", 60, "below the cycle time"),
        ("start", {"s": 1}, "single value"),
        ("from", 3, "text in quotes"),
        ("to", "Attic", "name of a station"),
        ("recipe", "Middling", "name of a recipe"),
        ("load", 1.5, "whole number"),
        ("stage", True, "whole number"),
    ],
)
def test_bad_values_in_json_moves_name_entry_and_key(key: str, value: object, part: str):
    good = {"start": 0, "from": "Bench", "to": "=Rinse"}
    text = json.dumps({"cycle_time": 60, "moves": [good, {**good, key: value}]})
    message = refusal(text, data=True)
    assert f"moves, entry 2, {key}" in message
    assert part in message


NUMBERS = st.integers(0, 999_999)


@given(
    starts=st.lists(NUMBERS, min_size=1, max_size=6),
    tick=st.sampled_from(["1", "0.1", "0.5", "3", "0.000001", "0.25", "7"]),
)
def test_a_schedule_survives_json_with_its_exact_times(starts: list[int], tick: str):
    schedule = Schedule(
        1_000_000,
        1 / Fraction(Decimal(tick)),
        tuple(Step(s, "Bench", "'-Dip", "+Long", 1, 0, 0) for s in starts),
    )
    text = json.dumps({"cycle_time": schedule.cycle_time, "moves": schedule_to_data(schedule)})
    again = moves_from_json(text, LINE)
    assert again.time(again.cycle) == schedule.time(schedule.cycle)
    assert [again.time(s.start) for s in again] == [schedule.time(s.start) for s in schedule]
    assert again.steps[0].stage == 0


def test_whole_times_are_written_as_ints_and_others_as_their_decimal():
    schedule = Schedule(30, Fraction(10), (Step(0, "a", "b"), Step(21, "a", "b")))
    data = schedule_to_data(schedule)
    assert json.dumps([move["start"] for move in data]) == "[0, 2.1]"
    assert [move["step"] for move in data] == [1, 2]


@given(st.text(max_size=300))
def test_no_text_at_all_raises_anything_but_an_input_error(text: str):
    for read in (moves_from_csv, moves_from_json):
        with suppress(InputError):
            read(text, LINE)


@given(st.lists(st.text(alphabet="0129.,;-+e_ 'Bench=Rinse\t\"\n#", max_size=12), max_size=8))
def test_no_cells_at_all_raise_anything_but_an_input_error(cells: list[str]):
    with suppress(InputError):
        moves_from_csv("start,from,to,cycle_time,load\n" + ",".join(cells), LINE)


def test_the_form_is_told_by_content_or_by_extension(tmp_path: Path):
    data = json.dumps({"cycle_time": 9, "moves": [{"start": 0, "from": "Bench", "to": "=Rinse"}]})
    (tmp_path / "moves.txt").write_text(data)
    (tmp_path / "table.json").write_text(GOOD)
    assert read_moves(tmp_path / "moves.txt", LINE).cycle == 9
    with pytest.raises(InputError, match="JSON"):
        read_moves(tmp_path / "table.json", LINE)


def test_files_that_cannot_be_tables_are_refused_by_name(tmp_path: Path):
    (tmp_path / "picture.csv").write_bytes(b"\x89PNG\r\n\x1a\n\x00\xff\xfe")
    (tmp_path / "whole16.csv").write_bytes(GOOD.encode("utf-16"))
    (tmp_path / "cut16.csv").write_bytes(GOOD.encode("utf-16")[:-1])
    (tmp_path / "huge.csv").write_bytes(b"0" * 6_000_000)
    (tmp_path / "bad.csv").write_text(GOOD.replace("12.5", "soon"))
    (tmp_path / "folder.csv").mkdir()
    for name in ("picture", "cut16", "huge", "bad", "folder", "absent"):
        with pytest.raises(InputError) as caught:
            read_moves(tmp_path / f"{name}.csv", LINE)
        assert f"{name}.csv" in str(caught.value)
    assert read_moves(tmp_path / "whole16.csv", LINE) == moves_from_csv(GOOD, LINE)
