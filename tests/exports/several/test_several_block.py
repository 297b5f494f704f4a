"""The blocks of several hoists on a track (`helpers/hoists/several_plant.py`), with delays."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from itertools import islice
from xml.etree import ElementTree as ET

import pytest

from hoistopt.base.errors import InputError
from hoistopt.exports import SequencerStyle, several_text
from hoistopt.exports.several import several_table
from hoistopt.exports.several.formats.words import APART
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step, Travel
from tests.helpers.hoists.several_blocks import program, tables
from tests.helpers.hoists.several_fuzz import compared
from tests.helpers.hoists.several_plant import SeveralPlant
from tests.helpers.hoists.several_stories import story, unexplained
from tests.helpers.hoists.several_tables import drawn, example_table, without_one
from tests.helpers.usual import first
from tests.reference.several.several import draw


@pytest.mark.parametrize("form", ["st", "xml"])
@pytest.mark.parametrize("values", ["initial", "routine"])
def test_what_a_program_says_is_accepted(form: str, values: str) -> None:
    problem, table = example_table()
    style = SequencerStyle("Line7", values="routine" if values == "routine" else "initial")
    text = several_text(problem, table, form, style)
    assert text.isascii()
    plain = " ".join(re.sub(r"\(\*|\*\)|\s", " ", text).split())
    for caution in APART:
        assert caution in plain
    assert all(f"Line7_Fill{hoist.number}" in text for hoist in table.hoists)
    if form == "xml":
        ET.fromstring(text.encode())


@pytest.mark.quick
def test_too_little_room_is_refused() -> None:
    problem, table = example_table()
    motions = max(len(hoist.motions) for hoist in table.hoists)
    waits = max(sum(len(m.releases) for m in hoist.motions) for hoist in table.hoists)
    most = max(len(table.steps), motions, waits)
    with pytest.raises(InputError, match=f"at least {most},"):
        several_text(problem, table, "st", SequencerStyle(room=2))


def test_the_program_fills_the_tables() -> None:
    _, table = example_table()
    for number, wanted in tables(table).items():
        found = tables(table)[number] | {"CheckSum": 0, "LastMotion": 0}
        program().blocks[f"Hoist_Fill{number}"].fresh().call(Table=found)
        assert found == wanted


def test_in_good_time_all_is_as_planned() -> None:
    problem, table = example_table()
    plant = SeveralPlant(problem, table)
    plant.run(4 * table.cycle)
    assert list(unexplained(plant)) == []
    assert plant.line["LostTime_ms"] == 0
    per = table.unit.milliseconds
    for now, hoist, number in plant.starts:
        motion = next(h for h in table.hoists if h.number == hoist).motions[number - 1]
        late = (now - motion.planned * per) % (table.cycle * per)
        # Where nothing is carried yet, it leaves when a loaded move would.
        assert late in (0, (motion.leaves - motion.planned) * per), (now, hoist, number)
    # The checker takes the clearance to be kept exactly, and so it is.
    assert abs(plant.closest) < 1e-6


@pytest.mark.parametrize("seeds", first(7, range(14)))
def test_nothing_in_the_stories_is_unexplained(seeds: range) -> None:
    """Delays of any length anywhere: none too close, none waits for ever, each overstay alarmed.

    The model of the blocks must agree with every output of every call.
    """
    problem, table = example_table()
    lines = [(problem, table), *((p, t) for _, p, t in drawn(range(6)))]
    for seed in seeds:
        plant, told = story(*lines[seed % len(lines)], seed)
        assert list(unexplained(plant)) == [], (seed, told)
        assert plant.compared > 500


def test_a_load_that_another_hoist_is_about_to_lift_counts_as_well() -> None:
    """The clock goes back by no more than it bears; here a motion of the other hoist ends late."""
    _, problem, table = list(drawn(range(2)))[1]
    plant, told = story(problem, table, 1)
    assert list(unexplained(plant)) == [], told
    assert plant.line["LostTime_ms"] > 0


def test_the_blocks_do_as_their_rules_say_whatever_they_are_told() -> None:
    """Carriers gone, motions disabled, clocks held, power off: in every call as the model."""
    lines = [table for _, _, table in drawn(range(4))]
    assert sum(compared(lines[seed % len(lines)], seed, 150) for seed in range(6)) == 6 * 300


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(10))
def test_the_blocks_do_so_in_many_calls(chunk: int) -> None:
    lines = [*(table for _, _, table in drawn(range(12))), example_table()[1]]
    for seed in range(1000 + 8 * chunk, 1008 + 8 * chunk):
        compared(lines[seed % len(lines)], seed, 700)


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(25))
def test_nothing_in_many_stories_is_unexplained(chunk: int) -> None:
    lines = [(p, t) for _, p, t in drawn(range(24))]
    if not chunk % 5:
        lines = [example_table()]
    for seed in range(1000 + 80 * chunk, 1080 + 80 * chunk):
        plant, told = story(*lines[seed % len(lines)], seed)
        assert list(unexplained(plant)) == [], (seed, told)


def test_a_hoist_follows_one_that_stops_where_it_is_bound_for() -> None:
    """Beyond that place it goes once the one in front has left again: a signal of its own."""
    data = draw(22).problem().to_data() | {"tick": Decimal("0.1")}
    for hoist in data["hoist"]:
        hoist["loaded"]["speed"] = hoist["empty"]["speed"] = Decimal("0.7")
    problem = Problem.from_data(data)
    moves = ((0, "In", "T2", 0, None, "A"), (0, "T1", "Out", 3, 1, "B"),
             (129, "T2", "T3", 1, 0, "A"), (174, "T3", "T1", 2, 0, "A"))  # fmt: skip
    steps = tuple(
        Step(start, source, target, "Parts", 1, stage, boundaries, hoist=hoist)
        for start, source, target, stage, boundaries, hoist in moves
    )
    travels = (Travel(Fraction(204001, 1000), "B", Fraction(1)),
               Travel(Fraction(58143, 250), "A", Fraction(0)))  # fmt: skip
    table = several_table(problem, Schedule(263, Fraction(10), steps, travels))
    assert table.cycle == 26_300
    plant = SeveralPlant(problem, table)
    plant.run(3 * table.cycle)
    assert list(unexplained(plant)) == []


def test_a_signal_left_out_is_noticed() -> None:
    """Of a line in which none follows: each of its signals, within a few stories."""
    _, problem, table = next(one for one in drawn(range(6)) if not one[2].following())
    left_out = list(islice(without_one(table), 2))
    assert left_out
    for release, without in left_out:
        stories = (story(problem, without, seed) for seed in range(40))
        assert any(_gone_wrong(plant) for plant, _ in stories), release


def _gone_wrong(plant: SeveralPlant) -> bool:
    return plant.closest < -1e-6
