"""Tables in other languages and with numbers of stations: read as the same in our own words."""

from __future__ import annotations

from pathlib import Path

import pytest

from hoistopt import InputError, Problem, load_problem, read_moves, read_orders, read_state
from hoistopt.cli import main
from hoistopt.plant.mapping import read_mapping
from hoistopt.problem.numbering import numbered
from hoistopt.schedule.files import MovesFile
from hoistopt.schedule.words import read_words, reworded
from tests.helpers.wrong.wrong_problems import GOOD

pytestmark = pytest.mark.quick

NUMBERED = GOOD
for number, name in ((10, "In"), (11, "Bath"), (12, "Hot"), (13, "Out")):
    NUMBERED = NUMBERED.replace(f'name = "{name}"', f'name = "{name}"\nnumber = {number}')

OURS = "start,from,to,recipe,cycle_time\n0,In,Bath,A,200\n45.5,Bath,Hot,A,200\n140,Hot,Out,A,200\n"
THEIRS = (
    "# Invented, in German\nSchritt;Beginn [s];Von;Nach;Artikel;Taktzeit\n"
    "1;0;Auf;Bad;Teil A;200\n2;45,5;BAD;12;Teil A;200\n\n3;140;12;13;A;200\n"
)
QUICK = ("--time-limit", "1", "--workers", "1")
WORDS = """
[columns]
start = "Beginn"
from = "von"
to = "nach"
recipe = "Artikel"
cycle_time = "Taktzeit"
count = "Anzahl"
due = "fertig bis"
event = "Ereignis"
[stations]
Auf = "In"
Bad = "Bath"
Nirgends = false
[recipes]
"Teil A" = "A"
[events]
heben = "lift"
"""


@pytest.fixture(autouse=True)
def line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Problem:
    monkeypatch.chdir(tmp_path)
    Path("line.toml").write_text(NUMBERED)
    Path("words.toml").write_text(WORDS)
    Path("ours.csv").write_text(OURS)
    Path("theirs.csv").write_text(THEIRS)
    return load_problem("line.toml")


def test_a_table_in_another_language_is_the_same_table(line: Problem) -> None:
    ours = read_moves("ours.csv", line)
    assert read_moves(MovesFile("theirs.csv", words="words.toml"), line) == ours
    with pytest.raises(InputError, match='a column "start"'):
        read_moves("theirs.csv", line)


def test_rows_keep_their_numbers(line: Problem) -> None:
    Path("theirs.csv").write_text(THEIRS.replace("3;140", "3;bald"))
    with pytest.raises(InputError, match=r'theirs.csv: row 6, column "start" = bald'):
        read_moves(MovesFile("theirs.csv", words="words.toml"), line)


def test_what_the_words_say_nothing_of_stays(line: Problem) -> None:
    words = read_words("words.toml", line)
    assert reworded(OURS, words) == OURS
    assert reworded("", words) == ""
    assert reworded("# only a remark\n", words) == "# only a remark\n"
    quoted = 'start,from,to\n0,"a ""b"", c",In\n'
    assert reworded(quoted, words) == quoted


def test_orders_in_another_language(line: Problem) -> None:
    Path("orders.csv").write_text("Artikel;Anzahl;Fertig bis\nTeil A;3;2 h\n")
    (order,) = read_orders("orders.csv", line, "words.toml")
    assert (order.recipe, order.count, order.due) == ("A", 3, 7200)


def test_stations_by_number_everywhere(line: Problem) -> None:
    by_number = OURS.replace("In", "10").replace("Bath", "11").replace("Hot", "12")
    Path("m.csv").write_text(by_number.replace("Out", "13"))
    assert read_moves("m.csv", line) == read_moves("ours.csv", line)
    Path("m.json").write_text(
        '{"cycle_time": 200, "moves": [{"start": 0, "from": 10, "to": "11"}]}'
    )
    assert [(s.source, s.target) for s in read_moves("m.json", line)] == [("In", "Bath")]
    Path("s.toml").write_text(
        '[hoist]\nstation = 12\nfree_in = 0\n[[standing]]\nstation = "11"\nrecipe = "A"\n'
        "stage = 1\nstood = 5\n"
    )
    state = read_state("s.toml", line)
    assert state.hoist is not None
    assert (state.hoist.station, state.standing[0].station) == ("Hot", "Bath")
    Path("t.csv").write_text("from;10;Bath\n10;;4\n11;5;\n")
    Path("line.toml").write_text(NUMBERED + '[times]\nempty_file = "t.csv"\n')
    times = load_problem("line.toml").empty_times
    assert times == {("In", "Bath"): 4, ("Bath", "In"): 5}
    assert read_mapping(line).stations["13"] == "Out"
    assert numbered(line, "own") == {"In": 10, "Bath": 11, "Hot": 12, "Out": 13}
    assert numbered(line) == {"In": 0, "Bath": 1, "Hot": 2, "Out": 3}


def test_a_decimal_comma_is_not_taken_for_a_station(line: Problem) -> None:
    """12,11,... would be the start 12 at station 11, or the start 12.11 at whatever follows."""
    for row in ("12,11,Bath,Hot,A,200", "12,11,Bath,Hot"):
        Path("m.csv").write_text(f"start,from,to,recipe,cycle_time\n{row}\n")
        with pytest.raises(InputError):
            read_moves("m.csv", line)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[columns]\nbegin = "Beginn"\n', "one of start, from"),
        ('[columns]\nstart = "A"\nfrom = "a"\n', "stands for start already"),
        ("[columns]\nstart = 3\n", "columns, start = 3"),
        ('[stations]\nBad = "Bad"\n', "stations, Bad = Bad: expected a station of the problem"),
        ('[recipes]\nX = "X"\n', "a recipe of the problem"),
        ("columns = 5\n", "expected a table"),
        ("[words]\n", "one of the tables"),
        ("[columns\n", "a TOML file"),
    ],
)
def test_wrong_words_are_one_line(text: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    Path("words.toml").write_text(text)
    assert main(["verify", "line.toml", "theirs.csv", "--mapping", "words.toml"]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1
    assert said in err and "words.toml" in err


def test_one_file_serves_tables_and_logs(line: Problem) -> None:
    found = read_mapping(line, "words.toml")
    assert found.columns["event"] == ("Ereignis",)
    assert found.events["heben"] == "lift"
    assert found.stations["bad"] == "Bath"


def test_a_table_in_another_language_is_verified_and_drawn(
    capsys: pytest.CaptureFixture[str],
) -> None:
    given = ["line.toml", "theirs.csv"]
    assert main(["verify", *given, "--mapping", "words.toml"]) == 0
    assert "Clean: 3 moves" in capsys.readouterr().out
    assert main(["draw", *given, "d.svg", "--mapping", "words.toml"]) == 0
    assert main(["order", *given, "--mapping", "words.toml", "--alone"]) == 0
    Path("o.csv").write_text("Artikel;Anzahl\nTeil A;2\n")
    assert main(["plan", "line.toml", "--orders", "o.csv", "--mapping", "words.toml", *QUICK]) == 0
