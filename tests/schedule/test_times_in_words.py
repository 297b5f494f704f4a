"""Durations in tables of moves, of times and of orders, in states and in options."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from hoistopt import InputError, load_problem, read_moves, read_orders, read_state
from hoistopt.cli import main
from hoistopt.problem.files.time_tables import read_times
from hoistopt.schedule.files import read_programme
from tests.helpers.wrong.wrong_commands import MOVES
from tests.helpers.wrong.wrong_problems import GOOD

pytestmark = pytest.mark.quick


@pytest.fixture(autouse=True)
def line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "line.toml").write_text(GOOD)
    return tmp_path


def test_starts_of_a_table_and_its_cycle_time() -> None:
    problem = load_problem("line.toml")
    Path("m.csv").write_text(
        "# cycle_time = 2 min\nstart;from;to\n0;In;Bath\n0:45,5;Bath;Hot\nT#1m35s;Hot;Out\n"
    )
    read = read_moves("m.csv", problem)
    assert read.time(read.cycle) == 120
    assert [read.time(step.start) for step in read] == [0, Fraction(91, 2), 95]
    Path("m.json").write_text(
        '{"cycle_time": "PT2M", "moves": [{"start": "1:00", "from": "In", "to": "Bath"}]}'
    )
    assert [step.start for step in read_moves("m.json", problem)] == [60]
    Path("p.csv").write_text("# programme\nstart,from,to\n1 h,In,Bath\n")
    assert [step.start for step in read_programme("p.csv", problem)] == [3600]
    Path("m.csv").write_text("# cycle_time = 2 min\nstart,from,to\n0,In,Bath\n5 m,Bath,Hot\n")
    with pytest.raises(InputError, match='row 4, column "start" = 5 m: expected "min"'):
        read_moves("m.csv", problem)


def test_orders_take_no_time_that_could_be_hours_and_minutes() -> None:
    problem = load_problem("line.toml")
    Path("o.csv").write_text("recipe,release,due\nA,7:30:00,8 h\n")
    (order,) = read_orders("o.csv", problem)
    assert (order.release, order.due) == (27_000, 28_800)
    Path("o.csv").write_text("recipe,release\nA,7:30\n")
    with pytest.raises(InputError, match="one way only"):
        read_orders("o.csv", problem)
    Path("o.csv").write_text("recipe,count\nA,3 s\n")
    with pytest.raises(InputError, match="a number"):
        read_orders("o.csv", problem)


def test_states_and_tables_of_times() -> None:
    problem = load_problem("line.toml")
    Path("s.toml").write_text(
        '[hoist]\nstation = "In"\nfree_in = "-1:30"\n[[standing]]\nstation = "Bath"\n'
        'recipe = "A"\nstage = 1\nstood = ["20 s", "T#25s"]\n'
    )
    state = read_state("s.toml", problem)
    assert state.hoist is not None
    assert state.hoist.free_in.least == -90
    assert (state.standing[0].stood.least, state.standing[0].stood.most) == (20, 25)
    Path("t.csv").write_text("from;In;Bath\nIn;;0,5 min\nBath;1:15;\n")
    assert [entry["time"] for entry in read_times(Path("t.csv"))] == [30, 75]


def test_options(capsys: pytest.CaptureFixture[str]) -> None:
    Path("m.csv").write_text(MOVES)
    # The least cycle of the line lies far above; a load an hour is easy.
    for given, wanted in (("1 min", "60"), ("T#60s", "60"), ("60/h", "60")):
        code = main(["conflict", "line.toml", "--at-most", given, "--time-limit", "20 s"])
        out = capsys.readouterr().out
        assert code == 1
        assert f"at most {wanted} s" in out
    assert main(["conflict", "line.toml", "--at-most", "1/h"]) == 0
    assert "at most 3600 s" in capsys.readouterr().out
