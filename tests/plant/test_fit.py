"""A fit gives back the times a list was made with, within the error it states."""

from __future__ import annotations

import sys
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from scipy import stats

import hoistopt
from hoistopt import Hoist, InputError, Motion, Problem, Recipe, Stage, Station
from hoistopt.app.machine.fit import fit as fit_times
from hoistopt.app.machine.fit import read_times
from hoistopt.plant.fit.answer import Fit
from hoistopt.plant.fit.figures import Figure
from hoistopt.plant.fit.fit import fit
from hoistopt.plant.mapping import LogMapping, read_mapping
from hoistopt.plant.readings import Timed
from hoistopt.plant.stopwatch import read_stopwatch, starts_as_list
from tests.helpers.logs.stopwatch_lists import HEADER, Stopwatch

LINE = hoistopt.load_problem("problems/quillhaven_anodising.toml")
TRUE = {
    Figure("lift"): 9.8,
    Figure("lower"): 7.4,
    Figure("loaded speed"): 0.46,
    Figure("loaded acceleration"): 0.25,
    Figure("loaded settling"): 2.6,
    Figure("empty speed"): 0.7,
    Figure("empty acceleration"): 0.45,
    Figure("empty settling"): 0.9,
    Figure("lift", "Etch"): 13.1,
}


def fitted(tmp_path: Path, rows: list[str], problem: Problem = LINE) -> Fit:
    path = tmp_path / "list.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return fit(read_stopwatch(path, problem))


def by_figure(found: Fit) -> dict[Figure, tuple[float, float | None, str]]:
    return {each.figure: (each.value or 0.0, each.error, each.how) for each in found.figures}


# --- against a reference library --------------------------------------------------------------

TRACK = [0, 1.3, 2.1, 3.8, 5.2, 7.7, 9.4]
STRAIGHT = Problem(
    "Invented straight line",
    stations=[
        Station("S0", kind="load-unload", position=0),
        *(Station(f"S{n}", position=at) for n, at in enumerate(TRACK[1:], start=1)),
    ],
    hoist=Hoist(lift=6, lower=5, loaded=Motion(0.5), empty=Motion(0.5)),
    recipes=[Recipe("A", [Stage("S1", min=10, max=600)])],
)


def test_without_acceleration_it_is_linear_regression(tmp_path: Path) -> None:
    """scipy.stats.linregress is the reference: time = settling + distance / speed."""
    draw = np.random.default_rng(5)
    ways = np.array(TRACK[1:])
    times = np.round(1.7 + ways / 0.43 + draw.normal(0, 0.3, len(ways)), 3)
    rows = ["from,to,loaded,time", *(f"S0,S{n},no,{t}" for n, t in enumerate(times, start=1))]
    found = by_figure(fitted(tmp_path, rows, STRAIGHT))
    want = stats.linregress(ways, times)
    speed, error, how = found[Figure("empty speed")]
    assert how == "told" and error is not None
    assert speed == pytest.approx(1 / want.slope, rel=1e-6)
    assert error == pytest.approx(want.stderr / want.slope**2, rel=1e-5)
    settling, error, _ = found[Figure("empty settling")]
    assert settling == pytest.approx(want.intercept, rel=1e-6)
    assert error == pytest.approx(want.intercept_stderr, rel=1e-5)


def test_of_readings_of_one_thing_it_is_their_mean(tmp_path: Path) -> None:
    """The closed form: mean, standard error of the mean, Student's interval."""
    times = [6.1, 6.4, 5.9, 6.3, 6.2, 6.6, 6.0, 6.25]
    rows = ["from,lift", *(f"S2,{time}" for time in times)]
    found = fitted(tmp_path, rows, STRAIGHT)
    lift = found.figures[0]
    assert lift.value == pytest.approx(np.mean(times), abs=1e-6)
    assert lift.error == pytest.approx(stats.sem(times), rel=1e-5)
    low, high = stats.t.interval(0.95, len(times) - 1, np.mean(times), stats.sem(times))
    assert (lift.low, lift.high) == (pytest.approx(low, rel=1e-5), pytest.approx(high, rel=1e-5))
    assert {each.how for each in found.figures[1:]} == {"held"}


# --- against the times a list was made with ---------------------------------------------------


def told_within(found: Fit, errors: float = 4.5) -> list[bool]:
    """Whether each interval holds the truth, which none is farther off than so many errors.

    What is only told given figures of the file is left to :func:`whole_moves`.
    """
    inside = []
    for each in found.figures:
        true = {**{f.figure: float(f.today or 0) for f in found.figures}, **TRUE}[each.figure]
        if each.how != "told":
            continue
        assert each.error is not None
        assert each.value is not None and each.low is not None and each.high is not None
        assert true is not None and abs(each.value - true) < errors * each.error, each
        inside.append(each.low <= true <= each.high)
    return inside


def whole_moves(found: Fit, watch: Stopwatch) -> float:
    """The farthest that a time by the changed file is from the truth."""
    return max(abs((pair.new or 0.0) - watch.takes(*pair.timed)) for pair in found.pairs)


@pytest.mark.quick
@pytest.mark.parametrize(("parts", "step"), [(True, 0.1), (True, 1), (False, 0.1), (False, 1)])
def test_the_times_a_list_was_made_with_come_back(tmp_path: Path, parts: bool, step: float) -> None:
    watch = Stopwatch(LINE, TRUE, step=step, seed=11)
    found = fitted(tmp_path, watch.rows(120, parts=parts))
    inside = told_within(found)
    assert len(inside) >= (7 if parts else 2) and sum(inside) >= len(inside) - 1
    assert whole_moves(found, watch) < 0.6
    for each in found.sums:
        true = sum(TRUE.get(figure) or 0.0 for figure in each.figures)
        assert each.error is not None and abs(each.value - true) < 4.5 * each.error < 1.5
    assert bool(found.sums) != parts
    assert found.readings.step == pytest.approx(step)
    assert all(verdict.fits for verdict in found.physics)
    assert not found.entries
    far = {each.place for each in found.aside}
    assert 2 <= len(far) <= 25
    assert all(abs(each.time - each.usual) > 4 * max(step / 2, 0.3) for each in found.aside)


@pytest.mark.long
def test_intervals_hold_the_truth_as_often_as_they_say(tmp_path: Path) -> None:
    held = [
        inside
        for seed in range(100)
        for inside in told_within(
            fitted(
                tmp_path,
                Stopwatch(LINE, TRUE, step=(0.1, 1)[seed % 2], seed=seed).rows(
                    100, parts=bool(seed % 3)
                ),
            )
        )
    ]
    assert len(held) > 400
    assert 0.90 <= sum(held) / len(held) <= 0.99


def test_outliers_are_the_ones_put_in(tmp_path: Path) -> None:
    watch = Stopwatch(LINE, TRUE, noise=0.2, wrong=0, seed=4)
    rows = watch.rows(60, parts=False)
    for row, more in ((7, 9.0), (30, -5.0), (101, 40.0)):
        cells = rows[row].split(",")
        cells[3] = f"{float(cells[3]) + more:.1f}"
        rows[row] = ",".join(cells)
    found = fitted(tmp_path, rows)
    assert {each.place for each in found.aside} == {"row 8", "row 31", "row 102"}


# --- what the times do not tell ---------------------------------------------------------------


def test_whole_moves_tell_the_sum_only(tmp_path: Path) -> None:
    watch = Stopwatch(STRAIGHT, {Figure("lift"): 7.5, Figure("loaded settling"): 1.0}, wrong=0)
    rows = [HEADER]
    for _ in range(8):
        for n in range(1, len(TRACK)):
            rows.append(f"S0,S{n},yes,{watch.read('move', 'S0', f'S{n}')},,,")
    found = fitted(tmp_path, rows, STRAIGHT)
    (total,) = found.sums
    assert set(total.figures) == {Figure("lift"), Figure("lower"), Figure("loaded settling")}
    assert total.error is not None and abs(total.value - 13.5) < 4 * total.error < 1.5
    how = by_figure(found)
    lift, lower = how[Figure("lift")], how[Figure("lower")]
    assert lift[2] == lower[2] == "shared" and lift[1] is None
    assert lift[0] / lower[0] == pytest.approx(6 / 5)
    new = {each.figure: each.new for each in found.figures}
    whole = sum(float(new[figure] or 0) for figure in total.figures)
    assert total.value - 1e-6 <= whole < total.value + 0.1


def test_long_ways_do_not_tell_acceleration(tmp_path: Path) -> None:
    watch = Stopwatch(LINE, TRUE, wrong=0, seed=2)
    found = fitted(tmp_path, watch.rows(80, parts=False))
    held = {each.figure: each.why for each in found.figures if each.how == "held"}
    assert "too short for top speed" in held[Figure("loaded acceleration")]


def test_short_ways_do_not_tell_the_speed(tmp_path: Path) -> None:
    slow = replace_motion(STRAIGHT, Motion(5, acceleration=0.3))
    watch = Stopwatch(slow, {Figure("empty acceleration"): 0.25}, noise=0.1, wrong=0)
    rows = ["from,to,loaded,time"]
    for _ in range(6):
        for n in range(1, len(TRACK)):
            rows.append(f"S0,S{n},no,{watch.read('empty', 'S0', f'S{n}')}")
    found = fitted(tmp_path, rows, slow)
    figures = by_figure(found)
    assert figures[Figure("empty speed")][2] == "held"
    rate, error, how = figures[Figure("empty acceleration")]
    assert how == "told" and error is not None and abs(rate - 0.25) < 4 * error


def test_an_acceleration_of_the_file_that_is_too_low_gives_way(tmp_path: Path) -> None:
    """Long ways tell v/a + settling only; less than v/a by the file cannot be settling."""
    loose = STRAIGHT.to_data()
    loose["hoist"]["loaded"] = {"speed": Decimal("0.5"), "acceleration": Decimal("0.25")}
    line = Problem.from_data(loose)
    true = {Figure("loaded speed"): 0.4, Figure("loaded acceleration"): 1.6}
    watch = Stopwatch(line, true, noise=0.1, wrong=0, seed=6)
    rows = ["from,to,travel"]
    for _ in range(8):
        rows += [f"S0,S{n},{watch.read('travel', 'S0', f'S{n}')}" for n in range(1, len(TRACK))]
    found = fitted(tmp_path, rows, line)
    figures = by_figure(found)
    assert found.physics[0].fits and not found.entries
    assert figures[Figure("loaded settling")][2] == "held"
    rate, error, how = figures[Figure("loaded acceleration")]
    assert how == "given" and error is not None and abs(rate - 1.6) < 4.5 * error
    assert whole_moves(found, watch) < 0.1


@pytest.mark.parametrize("count", [1, 2, 3, 40])
def test_times_that_tell_nothing_change_nothing_but_what_they_tell(
    tmp_path: Path, count: int
) -> None:
    """Times that have nothing to do with the ways, few or many."""
    draw = np.random.default_rng(count)
    rows = ["from,to,loaded,time"]
    for _ in range(count):
        n = draw.integers(1, len(TRACK))
        rows.append(f"S0,S{n},{draw.choice(['yes', 'no'])},{draw.uniform(5, 90):.1f}")
    found = fitted(tmp_path, rows, STRAIGHT)
    for each in found.figures:
        assert each.how in ("held", "shared") or (each.value or 0) < 100
        if "speed" in each.figure.name and each.how == "held":
            assert each.new == each.today


def replace_motion(problem: Problem, empty: Motion) -> Problem:
    data = problem.to_data()
    data["hoist"]["empty"] = empty.model_dump(exclude_none=True)
    return Problem.from_data(data)


def test_where_physics_does_not_fit_there_is_a_table(tmp_path: Path) -> None:
    """One pair is slow for a reason that no figure of the hoist has."""
    watch = Stopwatch(LINE, TRUE, noise=0.2, wrong=0, seed=8)
    names = [station.name for station in LINE.stations]
    pairs = list(pairwise(names))
    rows = [HEADER]
    for _ in range(6):
        for source, target in pairs:
            slow = 6.0 if source == "Rinse 2" else 0.0
            time = float(watch.read("move", source, target)) + slow
            rows.append(f"{source},{target},yes,{time:.1f},,,")
    found = fitted(tmp_path, rows)
    assert not found.physics[0].fits
    assert found.entries.keys() == {("loaded", *pair) for pair in pairs}
    for pair in found.pairs:
        assert pair.table and 0 <= (pair.new or 0) - pair.mean < 0.1 + 1e-9


def test_a_file_with_tables_gets_tables(tmp_path: Path) -> None:
    problem = hoistopt.load_problem("problems/phillips_unger_1976.toml")
    rows = ["from;to;loaded;time [s]", "Tank 1;Tank 2;yes;23,4", "Tank 1;Tank 2;yes;23,2"]
    rows += ["Tank 2;Tank 5;no;8,1", "Tank 2;Tank 5;no;8,3"]
    found = fitted(tmp_path, rows, problem)
    assert found.figures == () and found.physics == ()
    times = {key: float(time) for key, time in found.entries.items()}
    assert times == {("loaded", "Tank 1", "Tank 2"): 24, ("empty", "Tank 2", "Tank 5"): 9}


# --- scatter ----------------------------------------------------------------------------------


def test_the_scatter_is_that_of_the_readings(tmp_path: Path) -> None:
    draw = np.random.default_rng(1)
    factors = draw.triangular(0.95, 1, 1.3, 3000)
    rows = ["from,to,time", *(f"S0,S3,{18.6 * factor:.3f}" for factor in factors)]
    (scatter,) = fitted(tmp_path, rows, STRAIGHT).scatters
    assert scatter.what == "move"
    drawn = scatter.draw(np.random.default_rng(2), (20_000,))
    new = fitted(tmp_path, rows, STRAIGHT).pairs[0].new or 0.0
    times = drawn * new if scatter.how == "times" else drawn + new
    for share in (0.05, 0.5, 0.95):
        assert np.quantile(times, share) == pytest.approx(
            18.6 * np.quantile(factors, share), abs=0.15
        )


def test_scipy_is_named_where_it_is_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "scipy", None)
    with pytest.raises(InputError, match=r"pip install 'hoistopt\[fit\]'"):
        fitted(tmp_path, ["from,lift", "S2,6"], STRAIGHT)


def test_timed_in_another_unit(tmp_path: Path) -> None:
    data = STRAIGHT.to_data()
    minutes = Problem.from_data({**data, "unit": "min"})
    path = tmp_path / "list.csv"
    path.write_text("from\tto\tseconds\nS0\tS1\t30\nS0\tS1\t33\n")
    readings = read_stopwatch(path, minutes)
    (group,) = readings.groups
    assert group.timed == Timed("move", "S0", "S1")
    assert group.times.tolist() == [0.5, 0.55]
    assert replace(readings, notes=("x",)).count == 2


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "cp1252"])
def test_stations_by_their_numbers_in_any_common_encoding(tmp_path: Path, encoding: str) -> None:
    data = STRAIGHT.to_data()
    data["station"] = [{**each, "number": 7 + n} for n, each in enumerate(data["station"])]
    path = tmp_path / "list.csv"
    path.write_bytes("from;to;seconds;note\n7;S1;30,5;tür\n".encode(encoding))
    assert starts_as_list(path)
    (group,) = read_stopwatch(path, Problem.from_data(data)).groups
    assert group.timed == Timed("move", "S0", "S1") and group.times.tolist() == [30.5]
    path.write_text("from,to,time [d]\nS0,S1,1\n")
    assert starts_as_list(path)
    with pytest.raises(InputError, match=r"time \[d\]: expected .* one of ms, s, min and h"):
        read_stopwatch(path, STRAIGHT)


def test_a_list_kept_in_a_workbook_is_read_as_its_table(tmp_path: Path) -> None:
    rows = ["from,to,loaded,lift,lower", "Etch,Rinse 1,yes,13.1,7.4", "Etch,Rinse 1,yes,13.3,7.2"]
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append([float(cell) if "." in cell else cell for cell in row.split(",")])
    book.save(tmp_path / "list.xlsx")
    (tmp_path / "list.csv").write_text("\n".join(rows) + "\n")
    table, sheet = (read_stopwatch(tmp_path / f"list.{kind}", LINE) for kind in ("csv", "xlsx"))
    assert starts_as_list(tmp_path / "list.xlsx")
    assert sheet.step == table.step and len(table.groups) == 2
    for here, there in zip(sheet.groups, table.groups, strict=True):
        assert here.timed == there.timed and list(here.times) == list(there.times)
    book.active["D3"] = "quick"
    book.save(tmp_path / "list.xlsx")
    with pytest.raises(InputError, match=r"list\.xlsx: Sheet!D3 .*lift.* = quick: expected"):
        read_stopwatch(tmp_path / "list.xlsx", LINE)


# --- other words for stations -----------------------------------------------------------------


def test_a_list_may_use_the_words_of_a_mapping(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    rows = ("from,lift", "B7,9.8", "b7,9.9", "Etch,13.1", "Yard,40")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")

    def words(problem: Problem) -> LogMapping:
        return read_mapping(problem, stations=[("B7", "Etch"), ("Yard", "")])

    readings = read_times(LINE, [path], words)
    assert [(g.timed.source, list(g.times)) for g in readings.groups] == [
        ("Etch", [9.8, 9.9, 13.1])
    ]
    with pytest.raises(InputError, match="--station WORD=NAME"):
        read_times(LINE, [path])


# --- several hoists ---------------------------------------------------------------------------

SEVERAL = Path("problems/several/two_hoists.toml")


def test_of_several_hoists_the_one_that_was_timed_is_fitted(tmp_path: Path) -> None:
    line = hoistopt.load_problem(SEVERAL)
    first, second = (hoist.name for hoist in line.hoists)
    path = tmp_path / "list.csv"
    lifts = (11.2, 11.4, 11.3, 11.1, 11.35)
    at = next(station.name for station in line.stations if station.lift is None)
    rows = ["from,hoist,lift", *(f"{at},{second},{time}" for time in lifts), f"{at},{first},30"]
    path.write_text("\n".join(rows) + "\n")
    answer = fit_times(SEVERAL, [path], hoist=second)
    lift = answer.found.figures[0]
    assert lift.value == pytest.approx(np.mean(lifts)) and lift.how == "told"
    new = tmp_path / "new.toml"
    new.write_text(answer.file(str(new)))
    changed = hoistopt.load_problem(new)
    assert changed == answer.changed
    assert changed.hoists[0] == line.hoists[0]
    assert changed.hoists[1].lift == Decimal("11.3") != line.hoists[1].lift
    with pytest.raises(InputError, match="hoist that was timed"):
        fit_times(SEVERAL, [path])
    with pytest.raises(InputError, match="hoist that was timed"):
        fit_times(SEVERAL, [path], hoist="Third")
