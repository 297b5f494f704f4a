"""Programmes as data: unrolled from a cycle, written and read back, told from cycles."""

from __future__ import annotations

import json
from fractions import Fraction as F
from pathlib import Path

import pytest

import hoistopt
from hoistopt import Programme, Schedule, Step
from hoistopt.base.errors import InputError
from hoistopt.schedule.files import holds_programme
from hoistopt.schedule.programme import programme_to_data
from hoistopt.show.programme.answer import VerifiedProgramme
from hoistopt.show.workbook import answer_workbook
from tests.helpers.lines.small_line import small_line
from tests.helpers.shown.workbooks import changed

pytestmark = [pytest.mark.quick, pytest.mark.usefixtures("in_folder")]

# By hand: see small_line. The load lifted in one cycle leaves the bath in the same one.
CYCLE = Schedule(
    650,
    F(10),
    (Step(0, "In", "Bath", "A", 1, 0), Step(425, "Bath", "Out", "A", 1, 1, boundaries=0)),
)


def test_a_cycle_unrolls_load_by_load() -> None:
    programme = hoistopt.unroll(CYCLE, 2)
    assert programme.steps == (
        Step(0, "In", "Bath", "A", 1, 0),
        Step(425, "Bath", "Out", "A", 1, 1),
        Step(650, "In", "Bath", "A", 2, 0),
        Step(1075, "Bath", "Out", "A", 2, 1),
    )


def test_a_dwell_over_the_end_of_the_cycle_goes_on_in_the_next() -> None:
    late = Schedule(
        40,
        F(1),
        (Step(3, "Bath", "Out", "A", 1, 1, boundaries=2), Step(0, "In", "Bath", "A", 1, 0)),
    )
    starts = [(step.start, step.load) for step in hoistopt.unroll(late, 2)]
    assert starts == [(0, 1), (40, 2), (83, 1), (123, 2)]
    cut = [(step.start, step.load) for step in hoistopt.unroll(late, 3, run_out=False)]
    assert cut == [(0, 1), (40, 2), (80, 3), (83, 1)]


@pytest.mark.parametrize("cycles", [0, -1, 1.5, True])
def test_only_whole_cycles_unroll(cycles: int) -> None:
    with pytest.raises(InputError, match="whole number of cycles"):
        hoistopt.unroll(CYCLE, cycles)


def test_a_step_that_does_not_say_what_it_carries_cannot_be_unrolled() -> None:
    for step in (Step(0, "In", "Bath", "A", 1), Step(0, "Bath", "Out", "A", 1, 1)):
        with pytest.raises(InputError, match="step 1"):
            hoistopt.unroll(Schedule(650, F(10), (step,)), 1)


def test_json_is_read_back() -> None:
    programme = hoistopt.unroll(CYCLE, 3)
    data = {"finish": 1400, "moves": programme_to_data(programme)}
    Path("programme.json").write_text(json.dumps(data))
    assert holds_programme("programme.json")
    read = hoistopt.read_programme("programme.json", small_line())
    assert [(read.time(s.start), s.load, s.stage) for s in read] == [
        (programme.time(s.start), s.load, s.stage) for s in programme
    ]


def test_csv_is_read_with_any_columns_it_has() -> None:
    text = "# programme\n# by hand\nto;from;start;who\nBath;In;0;me\nOut;Bath;42,5;you\n"
    Path("programme.csv").write_text(text)
    assert holds_programme("programme.csv")
    assert hoistopt.read_programme("programme.csv", small_line()) == Programme(
        F(10), (Step(0, "In", "Bath"), Step(425, "Bath", "Out"))
    )


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.csv", "# cycle_time = 65\nstart,from,to\n0,In,Bath\n"),
        ("a.csv", "# Programme of Monday\nstart,from,to,cycle_time\n0,In,Bath,65\n"),
        ("a.json", '{"finish": 3, "cycle_time": 65, "moves": []}'),
        ("a.json", '{"moves": []}'),
        ("a.json", "{"),
    ],
)
def test_a_cycle_is_not_taken_for_a_programme(name: str, text: str) -> None:
    Path(name).write_text(text)
    assert not holds_programme(name)


@pytest.mark.parametrize(
    "text", ["# programme\nstart,from,to\n0,In,Bath\n", '{"finish": 3, "moves": []}']
)
def test_where_a_cycle_is_asked_for_a_programme_is_named_as_such(text: str) -> None:
    Path("once").write_text(text)
    with pytest.raises(InputError, match="this is a programme, which runs once"):
        hoistopt.read_moves("once", small_line())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("# programme\nstart,from,to,cycle_time\n0,In,Bath,65\n", ["no cycle time", "row 3"]),
        ("# programme\nfrom,to\nIn,Bath\n", ['a column "start"']),
        ("# programme\nstart,from,to\n-1,In,Bath\n", ["at least 0", "row 3"]),
        ("# programme\nstart,from,to\n0,In,Bth\n", ["Did you mean"]),
        ("# programme\nstart,from,to\n", ["at least one move"]),
        ('{"finish": 1, "moves": []}', ["at least one move"]),
        ('{"finish": 1}', ["moves", "present"]),
        ('{"moves": [], "cycle_time": 4, "finish": 3}', ["no cycle time"]),
        ('{"finish": 1, "moves": [{"start": 0, "from": "In", "to": 3}]}', ["text in quotes"]),
    ],
)
def test_every_slip_has_one_error_that_names_it(text: str, said: list[str]) -> None:
    Path("programme").write_text(text)
    with pytest.raises(InputError) as raised:
        hoistopt.read_programme("programme", small_line())
    for part in ["programme: ", *said]:
        assert part in str(raised.value)


def test_a_programme_comes_back_from_its_workbook() -> None:
    line = small_line()
    programme = hoistopt.unroll(CYCLE, 2)
    seen = hoistopt.replay_programme(line, programme)
    book = answer_workbook(VerifiedProgramme(seen))
    assert book is not None
    Path("programme.xlsx").write_bytes(book)
    assert holds_programme("programme.xlsx")
    back = hoistopt.read_programme("programme.xlsx", line)
    assert programme_to_data(back) == programme_to_data(programme)
    changed(Path("programme.xlsx"), lambda opened: opened["Programme"].__setitem__("C5", "Bth"))
    with pytest.raises(InputError, match=r'programme\.xlsx: Programme!C5 .* = Bth.*mean "Bath"'):
        hoistopt.read_programme("programme.xlsx", line)
