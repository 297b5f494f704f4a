"""A fit to a log: sums of whole moves, and empty travel as a bound."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

import hoistopt
from hoistopt.app.machine.fit import fit as fit_files
from hoistopt.plant.drips import drips
from hoistopt.plant.events import read_log
from hoistopt.plant.fit.answer import Fit
from hoistopt.plant.fit.figures import Figure
from hoistopt.plant.fit.fit import fit
from hoistopt.plant.logged_times import logged_times
from hoistopt.plant.mapping import read_mapping
from hoistopt.problem.files.rewriting import Changes, changed_problem
from tests.helpers.logs.hoist_logs import Machine, log_text, moves_of

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


# --- a log that follows its plan --------------------------------------------------------------


def followed(tmp_path: Path, line: hoistopt.Problem, true: hoistopt.Problem) -> tuple[Fit, ...]:
    """Fits, without the plan and with it, to the log of a machine that follows the cycle."""
    cycle = hoistopt.solve(line, 1, time_limit=3, workers=1).schedule
    assert cycle is not None
    path = tmp_path / "log.csv"
    path.write_text(log_text(list(Machine(true).runs(moves_of(line, cycle, 40))), 0.1))
    return tuple(fit_files(line, [path], plan=plan).found for plan in (None, cycle))


@pytest.mark.parametrize("name", ["shared_rinse", "quillhaven_anodising"])
def test_the_waits_of_the_plan_are_no_times_of_the_hoist(tmp_path: Path, name: str) -> None:
    """The truth is what the file says: with the plan the fit finds it, without it slower times."""
    line = hoistopt.load_problem(f"problems/{name}.toml")
    without, found = followed(tmp_path, line, line)
    for each in found.figures:
        if each.figure.name.startswith("empty"):
            assert each.new == each.today, each.figure
    far = {f.figure.name: f.new for f in without.figures if f.figure.name.startswith("empty")}
    near = {f.figure.name: f.today for f in without.figures if f.figure.name.startswith("empty")}
    assert far != near


@pytest.mark.parametrize("name", ["shared_rinse", "quillhaven_anodising"])
def test_a_hoist_that_is_slower_than_its_plan_is_told(tmp_path: Path, name: str) -> None:
    line = hoistopt.load_problem(f"problems/{name}.toml")
    true = changed_problem(
        line, Changes(hoist={("empty", "speed"): line.hoist.empty.speed * Decimal("0.7")})
    )
    without, found = followed(tmp_path, line, true)
    assert found.readings.at_once is not None
    times = {"file": 0.0, "true": 0.0, "without": 0.0, "with": 0.0}
    for pair, other in zip(found.pairs, without.pairs, strict=True):
        if pair.timed.what != "empty" or pair.timed.source == pair.timed.target:
            continue
        assert pair.new is not None and other.new is not None and pair.today is not None
        takes = Machine(true).takes("empty", str(pair.timed.source), str(pair.timed.target))
        assert pair.new >= takes - 0.01, pair
        for name_of, time in zip(times, (pair.today, takes, other.new, pair.new), strict=True):
            times[name_of] += time
    assert times["file"] < times["with"]
    off = {each: abs(times[each] - times["true"]) for each in ("file", "without", "with")}
    assert off["with"] < off["file"] and times["with"] < 1.05 * times["true"], times


def test_a_stopwatch_list_has_no_plan(tmp_path: Path) -> None:
    assert CYCLE is not None
    path = tmp_path / "list.csv"
    path.write_text("from,lift\nEtch,9\n".replace("Etch", LINE.stations[1].name))
    with pytest.raises(hoistopt.InputError, match="stopwatch list has no waits"):
        fit_files(LINE, [path], plan=CYCLE)
