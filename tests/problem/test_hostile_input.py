"""Files made to hurt: each is one clear line, soon, and nothing in it reaches a terminal."""

from __future__ import annotations

import os
import time
import tracemalloc
from pathlib import Path

import pytest

from hoistopt import InputError, load_problem
from hoistopt.schedule import read_moves
from tests.helpers.wrong.wrong_problems import GOOD

pytestmark = pytest.mark.usefixtures("in_folder")

SOON = 20.0
"""Seconds, for what took minutes; generous, as test machines are busy."""


def refusal(text: str) -> str:
    Path("line.toml").write_text(text)
    with pytest.raises(InputError) as refused:
        load_problem("line.toml")
    return str(refused.value)


@pytest.mark.parametrize("part", ["a", '"a b"', "'a'", "a1-"])
@pytest.mark.parametrize("shape", ["{} = 1\n", "[{}]\n", "x = {{ {} = 1 }}\n"])
def test_a_key_of_thousands_of_parts_is_refused_before_it_fills_the_memory(
    part: str, shape: str
) -> None:
    text = GOOD + shape.format(" . ".join([part] * 20_000))
    tracemalloc.start()
    told = refusal(text)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert "at most 8 keys with dots between" in told
    assert f"line {len(GOOD.splitlines()) + 1}" in told
    assert peak < 20_000_000


@pytest.mark.parametrize(
    "text", ["a" * 1_000_000, '"' * 1_000_000, "a" + " " * 1_000_000 + "b", '"a"' * 300_000]
)
def test_long_lines_are_looked_through_in_linear_time(text: str) -> None:
    began = time.monotonic()
    refusal(text)
    assert time.monotonic() - began < SOON


def test_texts_and_numbers_with_dots_are_no_deep_keys() -> None:
    note = 'note = "see www.example.org/a.b, version 1.2.3.4, i.e. this..................."\n'
    Path("line.toml").write_text(note + GOOD + "# 1.5, 2.5, 3.5 ... 9.5 a.b.c.d\n")
    assert load_problem("line.toml").note.startswith("see")


@pytest.mark.parametrize("key", ["int", '"[key]"', "constrained-int", '"literal[1]"'])
def test_keys_named_as_inner_things_are_called_unknown(key: str) -> None:
    told = refusal(f"{key} = 1\n{GOOD}")
    assert "no such key here" in told
    assert key.strip('"') in told
    told = refusal(GOOD.replace('name = "In"\n', f'name = "In"\n{key} = 1\n'))
    assert 'station 1 ("In"), ' + key.strip('"') in told


def test_thousands_of_unknown_tables_are_refused_soon() -> None:
    began = time.monotonic()
    told = refusal("".join(f"[x{number}]\n" for number in range(20_000)) + GOOD)
    assert "at most 1000 keys and tables" in told
    assert time.monotonic() - began < SOON


# A terminal's escape, a line end where none belongs, signs that turn the direction of
# writing, take no room, or look like none: all of them by their TOML escapes.
UNSEEN = [
    "\\u001b[31m",
    "\\u0007",
    "\\u009b",
    "\\u202e",
    "\\u2066",
    "\\u200b",
    "\\u2060",
    "\\ufeff",
    "\\u00ad",
    "\\u3164",
    "\\u2800",
    "\\u034f",
    "\\ufe0f",
    "\\U000e0001",
]


@pytest.mark.parametrize("sign", UNSEEN)
@pytest.mark.parametrize("key", ["note", "source", "length_unit", "name", "station", "recipe"])
def test_text_with_unseen_signs_is_refused_and_not_echoed(key: str, sign: str) -> None:
    text = {
        "name": GOOD.replace('"Line"', f'"Li{sign}ne"'),
        "station": GOOD.replace('name = "In"', f'name = "I{sign}n"'),
        "recipe": GOOD.replace('name = "A"', f'name = "A{sign}B"'),
    }.get(key, f'{key} = "a{sign}b"\n{GOOD}')
    told = refusal(text)
    assert "printable characters" in told
    assert told.isprintable()


def test_remarks_may_have_lines_and_any_script() -> None:
    note = 'note = """Zwei Bäder,\n\t三个 槽"""\nlength_unit = "µm"\n'
    Path("line.toml").write_text(note + GOOD, encoding="utf-8")
    assert load_problem("line.toml").note == "Zwei Bäder,\n\t三个 槽"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_or_a_device_is_refused_without_waiting() -> None:
    os.mkfifo("pipe.toml")
    for path in ("pipe.toml", "/dev/null", "."):
        with pytest.raises(InputError, match="a file on disk, not a directory, pipe or device"):
            load_problem(path)


@pytest.mark.parametrize(
    ("table", "expected"),
    [
        (",".join(f"c{n}" for n in range(60_000)) + ",start,from,to\n", "at most 1000 columns"),
        (
            "start,from,to,cycle_time\n0,In,Bath,9000\n" + "," * 60_000 + "\n",
            "at most 1000 cells",
        ),
        (
            "start,from,to,cycle_time\n" + "0,In,Bath,9000\n" * 50_000,
            "at most 5001 rows",
        ),
    ],
    ids=["wide header", "wide row", "long"],
)
def test_tables_beyond_all_lines_are_refused_soon(table: str, expected: str) -> None:
    Path("line.toml").write_text(GOOD)
    problem = load_problem("line.toml")
    Path("moves.csv").write_text(table)
    began = time.monotonic()
    with pytest.raises(InputError, match=expected):
        read_moves("moves.csv", problem)
    Path("moves.json").write_text('{"cycle_time": 9, "moves": [' + ",".join(["{}"] * 50_000) + "]}")
    with pytest.raises(InputError, match="at most 5000 moves"):
        read_moves("moves.json", problem)
    assert time.monotonic() - began < SOON


def test_a_table_of_times_beyond_all_lines_is_refused_soon() -> None:
    Path("line.toml").write_text(GOOD + '[times]\nempty_file = "empty.csv"\n')
    began = time.monotonic()
    Path("empty.csv").write_text(",".join(f"c{n}" for n in range(60_000)) + "\nIn\n")
    with pytest.raises(InputError, match=r"empty\.csv: expected a table of at most 1000 columns"):
        load_problem("line.toml")
    Path("empty.csv").write_text("from,to,time\n" + "In,Bath,1\n" * 200_000)
    with pytest.raises(InputError, match=r"empty\.csv: row \d+: expected at most 90001 rows"):
        load_problem("line.toml")
    assert time.monotonic() - began < SOON


@pytest.mark.parametrize(
    ("wrong", "meant"),
    [
        (
            ('unit = "s"', 'time_unit = "s"'),
            'time_unit: expected no such key here. Did you mean "unit"?',
        ),
        (("min = ", "minimum = "), 'Did you mean "min"?'),
    ],
)
def test_a_key_that_is_nearly_right_is_named(wrong: tuple[str, str], meant: str) -> None:
    assert meant in refusal(GOOD.replace(*wrong, 1))


def test_a_strange_key_is_answered_with_those_that_may_stand_there() -> None:
    told = refusal(GOOD.replace('name = "In"\n', 'name = "In"\nplaces = 2\n'))
    assert 'Remove "places"' in told
    assert "It may have name, kind, position, capacity" in told
