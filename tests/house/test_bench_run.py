"""The bench: it goes on after a kill, and stops when answers cannot all be right."""

from __future__ import annotations

import os
import runpy
import signal
import subprocess
import sys
import time
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("fcntl")

from benchmarks import run, runner, snapshot
from benchmarks.agreement import Agreement, Contradiction
from benchmarks.carry import schedule_to_json
from benchmarks.lines.cases import Case
from benchmarks.runner import Answer, Job, Refused, run_job
from benchmarks.snapshot import ROOT
from benchmarks.store import Row, make_row, open_store, read_rows
from benchmarks.suites import SUITES, Batch, lines
from benchmarks.tables import report
from benchmarks.tables.measured import measured
from benchmarks.tables.profile import ratios
from benchmarks.tables.targets import judge
from hoistopt.schedule import Schedule
from hoistopt.solver.cyclic.annealing import rounds

CASE = Case("loose", 4)
JOB = Job(CASE, "direct", 0, 1, 5.0)


def row(cycle: int | None, bound: int | None, **more: Any) -> Row:
    status = "optimal" if cycle == bound else "feasible"
    answer = Answer(more.pop("status", status), cycle, bound, more.pop("seconds", 1.0), 0.1, 0.2)
    case = more.pop("case", CASE)
    method, repeat = more.pop("method", "direct"), more.pop("repeat", 0)
    limit = more.pop("limit", 5.0)
    return make_row(Job(case, method, repeat, 1, limit), "code", answer)


def answers(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, Answer], drawn: bool = False
) -> list[Job]:
    """Let each method answer at once what is given; the jobs asked for come back.

    The code is not copied, as nothing runs of it, and the profile, which takes longer than all the
    rest, is drawn only where a test looks at it.
    """
    asked: list[Job] = []

    def quick(job: Job, root: Path) -> Answer:
        asked.append(job)
        return given[job.method]

    monkeypatch.setattr(run, "run_job", quick)
    monkeypatch.setattr(run, "snapshot", lambda: nullcontext(ROOT))
    monkeypatch.setattr(run, "compile_loops", lambda root: None)  # nothing here would use them
    if not drawn:
        monkeypatch.setattr(report, "draw_profile", lambda found, path: False)
    return asked


RIGHT = {
    "hoistopt": Answer("optimal", 300, 300, 0.1, 0.05, 0.06, 1.0, 90.0),
    "direct": Answer("feasible", 310, 250, 5.0, 0.1, 4.0, 6.0, 95.0),
}


# -- running ---------------------------------------------------------------------------


def test_each_method_answers_from_a_process_of_its_own(tmp_path: Path) -> None:
    found = {
        method: run_job(replace(JOB, method=method), ROOT) for method in ("direct", "hoistopt")
    }
    found["command"] = run_job(replace(JOB, method="command"), ROOT)
    cycles = {answer.cycle for answer in found.values()}
    assert len(cycles) == 1 and None not in cycles
    for method, answer in found.items():
        assert answer.status == "optimal" and answer.bound == answer.cycle
        assert answer.seconds is not None and answer.seconds <= answer.process_seconds
        assert answer.peak_mb > 30 or not sys.platform.startswith("linux")
        if method != "command":
            assert answer.first_seconds is not None and answer.best_seconds is not None
            assert answer.first_seconds <= answer.best_seconds <= answer.seconds


def test_a_process_that_overstays_is_killed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(runner, "GRACE", 0.3 - JOB.time_limit)
    answer = run_job(replace(JOB, case=Case("loose", 20)), ROOT)
    assert (answer.status, answer.cycle, answer.bound) == ("killed", None, None)
    assert 0.2 < answer.process_seconds < JOB.time_limit


def test_a_process_that_fails_says_why_and_is_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer = run_job(replace(JOB, case=Case("no such family", 4)), ROOT)
    assert (answer.status, answer.cycle) == ("error", None)
    assert "no such family" in answer.message
    asked = answers(monkeypatch, {**RIGHT, "direct": Answer("error", message="broke")})
    assert run.main(["smoke", "--out", str(tmp_path)]) == 0
    first = len(asked)
    assert run.main(["smoke", "--out", str(tmp_path)]) == 0
    assert [job.method for job in asked[first:]] == ["direct", "direct"]


def test_loops_are_compiled_before_the_runs_that_use_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = answers(monkeypatch, RIGHT)
    compiled: list[int] = []
    monkeypatch.setattr(run, "compile_loops", lambda root: compiled.append(len(asked)))
    for methods in ("direct", "direct,hoistopt", "direct,hoistopt"):
        assert run.main(["smoke", "--out", str(tmp_path), "--methods", methods]) == 0
    # Not for the first, which has no loops, nor for the third, which has nothing to do.
    assert compiled == [2]


def test_compiled_loops_are_kept_for_the_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """In this process, where loops are compiled once for all tests."""
    commands: list[list[str]] = []

    def here(command: list[str], *, cwd: Path, env: dict[str, str], check: bool) -> None:
        assert (cwd, env, check) == (ROOT, dict(os.environ), True)
        commands.append(command)
        for name in ("FIRST_LOOKS", "TRIALS"):  # put back after the test
            monkeypatch.setattr(rounds, name, getattr(rounds, name))
        runpy.run_module(command[-1], run_name="__main__")

    monkeypatch.setattr(snapshot.subprocess, "run", here)
    snapshot.compile_loops(ROOT)
    assert commands == [[sys.executable, "-m", "benchmarks.warm"]]
    kept = os.environ.get("NUMBA_CACHE_DIR")
    assert any((Path(kept) if kept else ROOT / "hoistopt" / "solver").rglob("*.nbi"))


def test_processes_of_a_run_keep_the_bytecode_of_what_they_import(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Beside the copy of the code, also where nothing is to be written."""
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    with snapshot.snapshot() as root:
        run_job(replace(JOB, method="hoistopt"), root)
        stored = [path.name for path in (root / snapshot.BYTECODE).rglob("*.pyc")]
        assert any(name.startswith("child.") for name in stored)
        assert any(name.startswith("cp_model.") for name in stored)
    assert not root.exists()


# -- going on --------------------------------------------------------------------------


def _children(pid: int) -> list[int]:
    found = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return [int(child) for child in found]


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_a_killed_run_goes_on_and_leaves_no_process_behind(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "benchmarks.run", "smoke", "--out", str(tmp_path)]
    command += ["--workers", "1", "--methods", "direct"]
    csv = tmp_path / "runs.csv"
    bench = subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        deadline = time.monotonic() + 60
        while not (csv.exists() and len(read_rows(csv)) >= 1 and _children(bench.pid)):
            assert bench.poll() is None and time.monotonic() < deadline
            time.sleep(0.02)
        (child,) = _children(bench.pid)
        os.kill(bench.pid, signal.SIGKILL)
    finally:
        bench.kill()
        bench.wait()
    while Path(f"/proc/{child}").exists():
        assert time.monotonic() < deadline
        time.sleep(0.02)
    before = read_rows(csv)
    assert len(before) == 1
    with csv.open("a") as stream:  # as if the power had gone in the middle of a row
        stream.write("loose-4-flow-k1-s0,loose-4-flow-k1,loose,4,fl")
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    rows = read_rows(csv)
    assert rows[: len(before)] == before
    assert len(rows) == 2 == len({row.key for row in rows})
    assert all(row.status == "optimal" for row in rows)


def test_another_limit_or_other_code_is_another_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = answers(monkeypatch, RIGHT, drawn=True)
    counts = []
    for more in ([], [], ["--time-limit", "7"], ["--workers", "5"]):
        assert run.main(["smoke", "--out", str(tmp_path), *more]) == 0
        counts.append(len(asked))
        assert "Not finished" not in (tmp_path / "results.md").read_text()
        if len(counts) == 1:  # the others need not draw it again
            assert (tmp_path / "profile.png").stat().st_size > 5000
            monkeypatch.setattr(report, "draw_profile", lambda found, path: False)
    monkeypatch.setattr(run, "codes", lambda root: {"hoistopt": "edited", "direct": "same"})
    assert run.main(["smoke", "--out", str(tmp_path)]) == 0
    assert run.main(["smoke", "--out", str(tmp_path)]) == 0
    assert [*counts, len(asked)] == [4, 4, 8, 12, 16]


def test_two_runs_do_not_write_to_one_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_store(tmp_path / "runs.csv"):
        assert run.main(["smoke", "--out", str(tmp_path)]) == 2
    assert "another run" in capsys.readouterr().err


# -- answers that cannot be right ------------------------------------------------------


@pytest.mark.parametrize("wrong_first", [False, True])
def test_a_bound_above_a_checked_schedule_stops_the_run(
    wrong_first: bool,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    wrong = {"direct": Answer("feasible", 320, 301, 5.0, 0.1, 4.0)}
    if wrong_first:  # a bound that only a later schedule shows up
        wrong = {"hoistopt": replace(RIGHT["direct"], bound=311), "direct": RIGHT["hoistopt"]}
        wrong["hoistopt"] = replace(wrong["hoistopt"], cycle=320)
    answers(monkeypatch, RIGHT | wrong)
    assert run.main(["smoke", "--out", str(tmp_path)]) == 1
    err = capsys.readouterr().err
    assert "lower bound of" in err and "checked schedule of 300 ticks" in err
    assert len(read_rows(tmp_path / "runs.csv")) == 1  # the row that made it so is not kept
    assert "Not finished" in (tmp_path / "results.md").read_text()


def test_a_wrong_bound_in_the_file_stops_the_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_store(tmp_path / "runs.csv") as store:
        store.append(row(300, 300))
        store.append(row(320, 301))
    asked = answers(monkeypatch, RIGHT)
    assert run.main(["smoke", "--out", str(tmp_path)]) == 1
    assert not asked
    assert "lower bound of 301" in capsys.readouterr().err


def test_bounds_are_held_against_schedules_of_the_same_instance_only() -> None:
    agreement = Agreement()
    agreement.add(row(300, 300))
    agreement.add(row(310, 250, method="big-m"))
    agreement.add(row(900, 900, case=Case("loose", 4, degree=2)))
    agreement.add(row(400, 400, case=Case("loose", 4, 1)))
    with pytest.raises(Contradiction, match="infeasible"):
        agreement.add(row(None, None, status="infeasible"))


def test_a_schedule_the_checker_refuses_stops_the_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from benchmarks.methods import pairwise
    from benchmarks.methods.outcome import Clock

    problem = CASE.problem()
    schedule = pairwise.solve(problem, 1, 1, 0, Clock(60)).schedule
    assert schedule is not None
    hasty = Schedule(
        schedule.cycle,
        schedule.ticks_per_unit,
        tuple(replace(step, start=max(0, step.start - 9)) for step in schedule.steps),
    )
    ended = runner._Ended(0, 1.0, 90.0, False, "")
    data = {"status": "optimal", "bound": 1, "seconds": 1.0, "first_seconds": 1, "best_seconds": 1}
    kept = runner._checked(JOB, data | {"schedule": schedule_to_json(schedule)}, ended)
    assert kept.cycle == schedule.cycle
    with pytest.raises(Refused, match="loose-4"):
        runner._checked(JOB, data | {"schedule": schedule_to_json(hasty)}, ended)
    with pytest.raises(Refused, match="no schedule"):
        runner._checked(JOB, data | {"schedule": None}, ended)

    def refuse(job: Job, root: Path) -> Answer:
        raise Refused("a faked refusal")

    monkeypatch.setattr(run, "run_job", refuse)
    monkeypatch.setattr(run, "snapshot", lambda: nullcontext(ROOT))
    monkeypatch.setattr(run, "compile_loops", lambda root: None)
    assert run.main(["smoke", "--out", str(tmp_path)]) == 1
    assert "a faked refusal" in capsys.readouterr().err
    assert read_rows(tmp_path / "runs.csv") == []


# -- tables ----------------------------------------------------------------------------


def test_rows_come_back_as_they_were_written(tmp_path: Path) -> None:
    rows = [row(300, 300), row(None, None, status="killed", seconds=None), row(300, 290)]
    with open_store(tmp_path / "runs.csv") as store:
        for each in rows:
            store.append(each)
        assert store.rows() == rows


def test_the_profile_shows_shares_of_cases_against_ratios() -> None:
    # By hand: A took 1 s and 8 s, B 2 s and 4 s; on the third case only A had a proof.
    times = {(0, "hoistopt"): 1.0, (0, "direct"): 2.0, (1, "hoistopt"): 4.8, (1, "direct"): 2.4}
    rows = [
        row(300, 300, case=Case("loose", 4, s), method=m, seconds=t) for (s, m), t in times.items()
    ]
    third = Case("loose", 4, 2)
    rows += [row(300, 300, case=third, method="hoistopt"), row(310, 250, case=third)]
    rows += [row(300, 300, case=Case("loose", 4, 3), method="hoistopt")]  # not run by the other
    found = ratios(measured(rows), ["hoistopt", "direct"])
    assert found == {"hoistopt": [1.0, 1.0, 2.0], "direct": [1.0, 2.0]}


def test_an_answer_after_the_limit_is_no_proof() -> None:
    assert row(300, 300, seconds=5.0).proven
    assert not row(300, 300, seconds=5.1).proven
    assert not row(310, 300).proven


def test_targets_are_judged_by_what_was_measured() -> None:
    cases = lines(("narrow",), (4,), range(2))
    batch = Batch(cases, ("hoistopt", "direct"), 5, aim="narrow")

    def verdict(ours: float, cut: int = 0) -> bool | None:
        rows = [row(300, 300, case=c, method="direct", seconds=2.0) for c in cases]
        rows += [row(300, 300, case=c, method="hoistopt", seconds=ours) for c in cases]
        return judge([batch], rows[cut:])[0].met

    assert verdict(2.2) is True
    assert verdict(2.21) is False
    assert verdict(2.2, cut=1) is None


def test_runs_with_another_limit_say_nothing_about_a_target() -> None:
    (case,) = lines(("loose",), (20,), range(1))
    batch = Batch((case,), ("hoistopt",), 60, aim="proof-20")
    proven = row(300, 300, case=case, method="hoistopt", limit=60.0)
    cut_off = row(300, 290, case=case, method="hoistopt", limit=1.0)
    assert judge([batch], [proven, cut_off])[0].met is True
    assert judge([batch], [cut_off])[0].met is None


def test_the_target_suite_has_ten_seeds_of_each() -> None:
    batches = {batch.aim: batch for batch in SUITES["targets"]() if batch.aim}
    assert set(batches) == {
        "proof-20", "gap-40", "schedule-60", "published", "narrow", "first-schedule",
    }  # fmt: skip
    for aim, batch in batches.items():
        groups: dict[str, set[int]] = {}
        for case in batch.cases:
            groups.setdefault(case.group, set()).add(case.seed)
        assert aim == "published" or all(len(seeds) == 10 for seeds in groups.values())
        assert "direct" in batch.methods or aim in ("first-schedule", "schedule-60")
