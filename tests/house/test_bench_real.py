"""The suite of real lines: valid, possible, the same from a seed, judged by its worst run."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("fcntl")

from benchmarks import run
from benchmarks.lines import real
from benchmarks.lines.cases import Case
from benchmarks.methods import stock
from benchmarks.methods.outcome import Clock
from benchmarks.runner import Answer, Job
from benchmarks.store import Row, make_row
from benchmarks.suites import REPORTED, SUITES, TUNING, Batch
from benchmarks.tables.report import write_report
from benchmarks.tables.targets import judge
from hoistopt import verify
from hoistopt.instance import build_instance
from hoistopt.solver.cyclic.starts import one_by_one
from tests.helpers.answers import answer

CASES = {case for batch in SUITES["real"]() for case in batch.cases}


@pytest.mark.parametrize("case", sorted(CASES, key=lambda case: case.name), ids=lambda c: c.name)
def test_every_line_is_valid_and_has_a_schedule(case: Case) -> None:
    problem = case.problem()
    assert "Invented" in problem.note
    assert problem.tick is not None and problem.tick.is_finite() and problem.tick * 10 == 1
    schedule = one_by_one(build_instance(problem, case.degree))
    assert schedule is not None
    assert verify(problem, schedule) == ()


@pytest.mark.parametrize("kind", real.KINDS)
def test_a_seed_always_gives_the_same_line(kind: str) -> None:
    assert real.real_line(kind, 6, 3) == real.real_line(kind, 6, 3)
    assert real.real_line(kind, 6, 3) != real.real_line(kind, 6, 4)


def test_the_suite_has_what_it_says() -> None:
    kinds = {case.family for case in CASES}
    assert kinds == set(real.KINDS)
    for seed in REPORTED:
        mixes = [c.problem() for c in CASES if c.family == "real-mix" and c.seed == seed]
        assert all(2 <= len(mix.recipes) <= 4 and 2 <= len(mix.load_set) <= 6 for mix in mixes)
    groups = {(c.tanks, c.degree) for c in CASES if c.family == "zinc"}
    assert groups == {(tanks, tanks) for tanks in (2, 3, 4, 6, 8)}
    assert not set(TUNING) & set(REPORTED)


def test_a_merged_line_differs_in_its_group_only() -> None:
    apart, merged = (real.real_line(kind, 4, 11) for kind in ("zinc", "zinc-merged"))
    windows = [
        [(stage.min, stage.max, stage.drip) for stage in line.recipes[0].stages]
        for line in (apart, merged)
    ]
    assert windows[0] == windows[1]
    assert [s.capacity for s in merged.stations if s.name == "Zinc"] == [4]
    assert len(apart.stations) == len(merged.stations) + 3
    assert [s.position for s in apart.stations][-9:] == [s.position for s in merged.stations][-9:]


@pytest.mark.parametrize(
    "case", [Case("loose", 4), Case("narrow", 3, 0, 2), Case("open", 3, 0, 1, True, 2)], ids=str
)
def test_stock_finds_the_same_cycle_time(case: Case) -> None:
    problem = case.problem()
    clock = Clock(60)
    found = stock.solve(problem, case.degree, 1, 0, clock)
    expected = answer(problem, case.degree)
    assert expected.schedule is not None and found.schedule is not None
    assert (found.status, found.schedule.cycle, found.bound) == (
        ("optimal", *(expected.schedule.cycle,) * 2)
    )
    assert verify(problem, found.schedule) == ()
    assert clock.first is not None


def test_only_hoistopt_is_run_with_several_seeds() -> None:
    batch = Batch((Case("zinc", 2, 0, 2),), ("hoistopt", "stock"), 60, searches=3)
    jobs = [(job.method, job.repeat, job.seed) for job in batch.jobs(2)]
    assert sorted(jobs) == [*(("hoistopt", n, n) for n in range(3)), ("stock", 0, 0)]


# -- judged by the worst ----------------------------------------------------------------


def _row(case: Case, method: str, cycle: int | None, bound: int | None, **more: Any) -> Row:
    limit, repeat = more.get("limit", 60.0), more.get("repeat", 0)
    status = "unknown" if cycle is None else "optimal" if cycle == bound else "feasible"
    given = Answer(status, cycle, bound, 1.0, 0.1, 0.2, peak_mb=more.get("peak", 100.0))
    return make_row(Job(case, method, repeat, 2, limit, repeat), "code", given)


@pytest.mark.parametrize(
    ("worst", "peak", "met"),
    [
        ((1005, 986), 100.0, True),
        ((1006, 986), 100.0, False),
        ((1005, 985), 100.0, False),
        ((None, 986), 100.0, False),
        ((1005, 986), 1025.0, False),
    ],
)
def test_the_worst_of_the_searches_is_held_against_stock(
    worst: tuple[int | None, int], peak: float, met: bool
) -> None:
    case = Case("zinc", 2, 0, 2)
    batch = Batch((case,), ("hoistopt", "stock"), 60, aim="stock", searches=3)
    rows = [_row(case, "stock", 1000, 990)]
    rows += [_row(case, "hoistopt", 990, 989, repeat=n) for n in range(2)]
    assert judge([batch], rows)[0].met is None
    rows.append(_row(case, "hoistopt", *worst, repeat=2, peak=peak))
    assert judge([batch], rows)[0].met is met


def test_what_stock_proves_has_to_be_proved() -> None:
    case = Case("again", 12, 0, 2)
    batch = Batch((case,), ("hoistopt", "stock"), 60, aim="stock", searches=1)
    rows = [_row(case, "stock", 1000, 1000), _row(case, "hoistopt", 1000, 999)]
    verdict = judge([batch], rows)[0]
    assert verdict.met is False and "again-12-flow-k2-s0 (proof)" in verdict.measured


def test_the_report_of_a_suite_against_stock_has_its_profile(tmp_path: Path) -> None:
    batch = Batch((Case("zinc", 2, 0, 2),), ("hoistopt", "stock"), 60, aim="stock", searches=3)
    rows = [_row(batch.cases[0], "stock", 1000, 1000)]
    rows += [_row(batch.cases[0], "hoistopt", 1000, 1000, repeat=n) for n in range(3)]
    write_report(tmp_path, "real", [batch], rows, 0)
    assert (tmp_path / "profile.png").stat().st_size > 5000
    assert "| met |" in (tmp_path / "results.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(("cycle", "met"), [(4080, True), (4081, False), (None, False)])
def test_groups_are_held_against_the_merged_line(cycle: int | None, met: bool) -> None:
    apart, merged = Case("zinc", 4, 0, 4), Case("zinc-merged", 4, 0, 1)
    batch = Batch((apart, merged), ("hoistopt",), 10, aim="groups")
    rows = [_row(apart, "hoistopt", cycle, 700, limit=10.0)]
    rows.append(_row(merged, "hoistopt", 1000, 900, limit=10.0))
    assert judge([batch], rows)[0].met is met


def test_a_tank_out_of_service_changes_nothing_else() -> None:
    whole, less = (real.real_line(kind, 3, 11) for kind in ("zinc", "zinc-less"))
    assert less == whole.with_out_of_service(["Zinc 3"]).model_copy(update={"name": less.name})
    assert less.name == "zinc-less 3 11"


@pytest.mark.parametrize(
    ("cycle", "shorter", "met"),
    [(4000, 3000, True), (4001, 3000, False), (3999, 2999, True), (None, 3000, False)],
)  # of the third, 2999 / 3 each, four loads take 3998 2/3 ticks
def test_a_group_is_held_against_itself_with_a_tank_less(
    cycle: int | None, shorter: int, met: bool
) -> None:
    whole, less = Case("zinc", 4, 0, 4), Case("zinc-less", 4, 0, 3)
    batch = Batch((whole, less), ("hoistopt",), 10, aim="less")
    rows = [_row(whole, "hoistopt", cycle, 700, limit=10.0)]
    assert judge([batch], rows)[0].met is None
    rows.append(_row(less, "hoistopt", shorter, 900, limit=10.0))
    assert judge([batch], rows)[0].met is met


@pytest.mark.parametrize(("worst", "met"), [(1050, True), (1051, False), (None, False)])
def test_what_is_soon_found_is_held_against_the_best_found_later(
    worst: int | None, met: bool
) -> None:
    case = Case("zinc", 2, 0, 2)
    soon = Batch((case,), ("hoistopt",), 5, aim="soon", searches=3, against=60)
    early = [_row(case, "hoistopt", 1001, 900, repeat=n, limit=5.0) for n in range(2)]
    early.append(_row(case, "hoistopt", worst, 900, repeat=2, limit=5.0))
    late = [_row(case, "hoistopt", cycle, 900, repeat=n) for n, cycle in enumerate((1000, 1200))]
    assert judge([soon], early)[0].met is None
    assert judge([soon], early, late)[0].met is None  # one of three is missing
    late.append(_row(case, "hoistopt", 1100, 900, repeat=2))
    assert judge([soon], early, late)[0].met is met
    assert judge([soon], [*early, *late])[0].met is met
    assert judge([soon], late)[0].met is None


def test_every_run_of_hoistopt_is_held_against_the_memory_there_may_be() -> None:
    cases = (Case("loose", 4), Case("loose", 4, 1))
    batch = Batch(cases, ("hoistopt", "direct"), 60)
    rows = [_row(case, "hoistopt", 1000, 900, peak=1024.0) for case in cases]
    assert judge([batch], rows)[0].met is None  # the other method has not run
    rows += [_row(case, "direct", 1000, 900, peak=2000.0) for case in cases]
    assert [verdict.met for verdict in judge([batch], rows)] == [True]
    rows[0] = _row(cases[0], "hoistopt", 1000, 900, peak=1024.1)
    (verdict,) = judge([batch], rows)
    assert verdict.met is False and "loose-4-flow-k1-s0" in verdict.measured
    assert judge([Batch(cases, ("direct",), 60)], rows) == []


def test_aims_can_be_run_apart() -> None:
    limits = {batch.aim: batch.time_limit for batch in SUITES["real"]()}
    assert limits == {"stock": 60, "groups": 10, "less": 10, "soon": 5}
    by_aim = {batch.aim: batch for batch in SUITES["real"]()}
    assert by_aim["soon"].cases == by_aim["stock"].cases
    assert by_aim["soon"].against == by_aim["stock"].time_limit
    pairs = {(c.family, c.tanks, c.degree) for c in by_aim["less"].cases}
    for tanks in (2, 3, 4, 6, 8):
        assert {("zinc", tanks, tanks), ("zinc-less", tanks, tanks - 1)} <= pairs


def test_some_lines_can_be_run_apart(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    few = run.only(SUITES["real"]()[0], ["zinc-8", "paced"])
    assert {case.family for case in few.cases} == {"zinc", "paced"}
    assert {case.tanks for case in few.cases if case.family == "zinc"} == {8}
    assert run.main(["real", "--only", "nothing", "--out", str(tmp_path / "none")]) == 2
    assert "--only: no line has nothing in its name" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()
