"""A fit to a log: sums of whole moves, and empty travel as a bound."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

import hoistopt
from hoistopt.plant.drips import drips
from hoistopt.plant.events import read_log
from hoistopt.plant.fit.answer import Fit
from hoistopt.plant.fit.figures import Figure
from hoistopt.plant.fit.fit import fit
from hoistopt.plant.logged_times import logged_times
from hoistopt.plant.mapping import read_mapping
from hoistopt.problem.rewriting import Changes, changed_problem
from tests.helpers.hoist_logs import Machine, log_text, moves_of

pytest.importorskip("polars")

LINE = hoistopt.load_problem("problems/three_tanks_dryer.toml")
TRUE = changed_problem(
    LINE,
    Changes(
        hoist={
            ("lift",): Decimal("6.8"),
            ("loaded", "speed"): Decimal("0.22"),
            ("empty", "speed"): Decimal("0.36"),
        }
    ),
)
CYCLE = hoistopt.solve(LINE).schedule


def fitted(tmp_path: Path, machine: Machine, cycles: int, step: float) -> Fit:
    assert CYCLE is not None
    path = tmp_path / "log.csv"
    path.write_text(log_text(list(machine.runs(moves_of(LINE, CYCLE, cycles))), step))
    return fit(logged_times(read_log([path], read_mapping(LINE)), LINE))


@pytest.mark.parametrize("step", [0.001, 1])
def test_a_log_tells_whole_moves_less_their_drip(tmp_path: Path, step: float) -> None:
    machine = Machine(TRUE, noise=0.2, seed=3)
    found = fitted(tmp_path, machine, 120, step)
    moves = [pair for pair in found.pairs if pair.timed.what == "move"]
    assert len(moves) == 5 and found.physics[0].fits
    for pair in moves:
        true = machine.takes(*pair.timed)  # type: ignore[arg-type]
        assert pair.new is not None and -0.1 < pair.new - true < 0.35
        assert pair.error is not None and abs(pair.mean - true) < 4.5 * pair.error
    (total,) = found.sums
    assert total.error is not None and abs(total.value - (6.8 + 5 + 1.5)) < 4.5 * total.error
    assert {each.how for each in found.figures if each.figure.name.startswith("empty")} == {
        "at most"
    }


def test_empty_travel_is_never_made_shorter_than_what_was_seen(tmp_path: Path) -> None:
    found = fitted(tmp_path, Machine(TRUE), 60, 0.001)
    empty = [pair for pair in found.pairs if pair.timed.what == "empty"]
    assert empty
    fits = 0
    for pair in empty:
        assert pair.new is not None and pair.timed.source and pair.timed.target
        true = Machine(TRUE).takes("empty", pair.timed.source, pair.timed.target)
        # A stamp read to 1 ms may be 0.5 ms early; on the shortest way that bends the line.
        assert pair.new > true - 0.005
        assert pair.new < pair.mean + 0.11
        fits += pair.new < true + 0.25
    assert fits >= 2
    bound = {each.figure: each.value for each in found.figures if each.how == "at most"}
    assert bound[Figure("empty speed")] == pytest.approx(0.36, rel=0.03)


def test_events_without_each_other_are_told_and_left_out(tmp_path: Path) -> None:
    assert CYCLE is not None
    made = list(Machine(TRUE).runs(moves_of(LINE, CYCLE, 12)))
    lines = log_text(made, 0.001).splitlines()
    del lines[11], lines[30]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines))
    readings = logged_times(read_log([path], read_mapping(LINE)), LINE)
    assert readings.count == len(made) - 2
    assert "Lifts and lowerings without each other" in readings.notes[-1]
    assert max(group.times.max() for group in readings.groups) < 60


def test_the_moves_of_one_of_several_hoists(tmp_path: Path) -> None:
    line = hoistopt.load_problem("problems/several/two_hoists.toml")
    moves = list(drips(line))
    ways = {line.hoists[0].name: moves[0], line.hoists[1].name: moves[-1]}
    rows = ["time,event,station,hoist"]
    for number in range(12):
        for second, (hoist, (source, target)) in enumerate(ways.items()):
            begin, takes = 100 * number + second, 30 + 20 * second
            for time, event, at in ((begin, "lift", source), (begin + takes, "lower", target)):
                rows.append(f"2026-03-02T06:{time // 60:02}:{time % 60:02}Z,{event},{at},{hoist}")
    path = tmp_path / "log.csv"
    path.write_text("\n".join([rows[0], *sorted(rows[1:])]) + "\n")
    readings = logged_times(read_log([path], read_mapping(line)), line, 1)
    (group,) = readings.groups
    (drip,) = drips(line)[moves[-1]]
    assert (group.timed.source, group.timed.target) == moves[-1]
    assert group.times.tolist() == [50.0 - float(drip)] * 12
    bare = tmp_path / "bare.csv"
    bare.write_text("\n".join(row.rpartition(",")[0] for row in path.read_text().splitlines()))
    with pytest.raises(hoistopt.InputError, match="names the hoist"):
        logged_times(read_log([bare], read_mapping(line)), line, 1)
