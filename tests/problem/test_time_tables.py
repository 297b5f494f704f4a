"""Tables of measured times in files beside the problem: lists and matrices, as people save them."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from hoistopt import InputError, load_problem
from hoistopt.problem import Problem
from tests.helpers.wrong.wrong_problems import GOOD

pytestmark = pytest.mark.usefixtures("in_folder")

NAMES = ("In", "Bath", "Hot", "Out")
EMPTY = {(u, v): Decimal(place + 1) / 2 for u in NAMES for place, v in enumerate(NAMES) if u != v}
LOADED = {("In", "Bath"): "12.5", ("Bath", "Hot"): "13", ("Hot", "Out"): "14.25"}
# Nothing but the tables: no speeds, no times to lift and lower.
LINE = GOOD.replace("lift = 5\nlower = 5\n", "").replace(
    "loaded = { speed = 0.5 }\nempty = { speed = 0.5 }\n", ""
)


def matrix(separator: str, comma: bool) -> str:
    rows = [separator.join(["", *NAMES])]
    for u in NAMES:
        cells = [str(EMPTY.get((u, v), "")) for v in NAMES]
        rows.append(separator.join([u, *cells]))
    text = "\n".join(rows) + "\n"
    return text.replace(".", ",") if comma else text


def as_list(separator: str, comma: bool) -> str:
    rows = [separator.join(("to", "remark", "time [s]", "from"))]
    for (u, v), time in LOADED.items():
        rows.append(separator.join((v, "x", time.replace(".", ",") if comma else time, u)))
    return "\n".join(rows) + "\n"


def read(loaded: bytes, empty: bytes) -> Problem:
    Path("loaded.csv").write_bytes(loaded)
    Path("empty.csv").write_bytes(empty)
    text = LINE + '[times]\nloaded_file = "loaded.csv"\nempty_file = "empty.csv"\n'
    Path("line.toml").write_text(text)
    return load_problem("line.toml")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize(
    ("separator", "comma"), [(",", False), (";", True), (";", False), ("\t", True), ("\t", False)]
)
def test_every_way_of_saving_a_table_reads_the_same(
    separator: str, comma: bool, ends: str, encoding: str
) -> None:
    loaded = as_list(separator, comma).replace("\n", ends).encode(encoding)
    empty = matrix(separator, comma).replace("\n", ends).encode(encoding)
    problem = read(loaded, empty)
    assert problem.loaded_times == {pair: Decimal(time) for pair, time in LOADED.items()}
    assert problem.empty_times == EMPTY


def test_a_list_and_a_matrix_of_the_same_times_are_the_same() -> None:
    listed = "from,to,time\n" + "".join(f"{u},{v},{time}\n" for (u, v), time in EMPTY.items())
    loaded = as_list(",", False).encode()
    assert read(loaded, listed.encode()) == read(loaded, matrix(",", False).encode())


@pytest.mark.parametrize(
    ("table", "named"),
    [
        ("from;to;time\nIn;Bath;1,234\n", ["row 2", '"time"', "1,234", "one way only"]),
        ("from;to;time\nIn;Bath;x\n", ["row 2", "x", "a number", "a point, or a comma where"]),
        ("from;to;time\nIn;Bath;\n", ["row 2", "a number"]),
        ("from;to;time\nIn;Bath;-1\n", ["row 2", "-1", "at least 0"]),
        ("from;to;time\nIn;Bad;1\n", ["row 2", '"to"', "Bad"]),
        ("from;to\nIn;Bath\n", ["row 1", '"time"']),
        ("from;to;time;time\nIn;Bath;1;2\n", ["row 1", "one column", '"time"']),
        ("from;to;time\nIn;Bath;1\n\nIn;Bath;2\n", ["row 4", "In to Bath", "Row 2"]),
        ("from;to;time [min]\nIn;Bath;1\n", ["row 1", "time [min]", '"s"']),
        ("from,to,time\nIn,Bath,1,5\n", ["row 2", "4 cells"]),
    ],
)
def test_what_is_wrong_in_a_list_is_named(table: str, named: list[str]) -> None:
    with pytest.raises(InputError) as refusal:
        read(table.encode(), matrix(";", True).encode())
    told = str(refusal.value)
    assert all(part in told for part in ["loaded.csv", *named]), told


def test_all_missing_times_are_told_at_once() -> None:
    part = matrix(",", False).splitlines()
    loaded = "from,to,time\nIn,Bath,3\n"
    with pytest.raises(InputError) as refusal:
        read(loaded.encode(), "\n".join([*part[:2], *part[3:]]).encode())
    told = str(refusal.value)
    missing = ["loaded Bath to Hot", "loaded Hot to Out"]
    missing += [f"empty Bath to {name}" for name in ("In", "Hot", "Out")]
    assert "5 are missing" in told
    assert all(pair in told for pair in missing), told


@pytest.mark.parametrize(
    ("good", "bad", "hint"),
    [
        ("lift = 5", "lift = 5,5", "In line 4 write a decimal point: 5.5."),
        ("loaded = { speed = 0.5 }", "loaded = { speed = 0,5 }", "decimal point: 0.5"),
        (
            "loaded = { speed = 0.5 }",
            "loaded = { speed = 0,5, acceleration = 1 }",
            "decimal point: 0.5",
        ),
        ("max = 60", "max = 60,25  # measured", "decimal point: 60.25"),
    ],
)
def test_a_decimal_comma_in_a_problem_file_is_told(good: str, bad: str, hint: str) -> None:
    assert good in GOOD
    Path("line.toml").write_text(GOOD.replace(good, bad))
    with pytest.raises(InputError) as refusal:
        load_problem("line.toml")
    assert hint in str(refusal.value)
