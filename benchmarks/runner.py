"""Run one method on one case in a process of its own, and check what it says."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import suppress
from dataclasses import asdict, dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from hoistopt.checker import replay
from hoistopt.schedule import Schedule

from .carry import problem_to_toml, schedule_from_json
from .lines.cases import Case
from .memory import Memory
from .methods import METHODS
from .snapshot import environment

GRACE = 15.0
"""Seconds after its limit before a process is killed."""


class Refused(Exception):
    """A method came with a schedule that breaks a rule: the run stops."""


@dataclass(frozen=True)
class Job:
    """One run: a method on a case."""

    case: Case
    method: str
    repeat: int
    workers: int
    time_limit: float
    seed: int = 0


@dataclass(frozen=True)
class Answer:
    """What came of a job; `cycle` and `bound` in ticks, times in seconds.

    `status` is "optimal", "feasible", "infeasible", "unknown", or "killed" and "error"
    where a process did not answer. `process_seconds` is the whole life of the process,
    imports included; `peak_mb` the most memory it held.
    """

    status: str
    cycle: int | None = None
    bound: int | None = None
    seconds: float | None = None
    first_seconds: float | None = None
    best_seconds: float | None = None
    process_seconds: float = 0.0
    peak_mb: float = 0.0
    message: str = ""


@dataclass(frozen=True)
class _Ended:
    code: int
    seconds: float
    peak_mb: float
    killed: bool
    errors: str


def run_job(job: Job, root: Path) -> Answer:
    """Run a job to its end or its limit, with the code in the folder `root`.

    Raises
    ------
    Refused
        When the checker refuses the schedule it comes with.
    """
    with tempfile.TemporaryDirectory(prefix="hoistopt-bench-") as folder:
        answer = Path(folder) / "answer.json"
        ended = _process(job, Path(folder), answer, root)
        if not answer.exists():
            status = "killed" if ended.killed or ended.code < 0 else "error"
            last = ended.errors.strip().splitlines()[-1:] or [f"exit code {ended.code}"]
            return Answer(
                status,
                process_seconds=ended.seconds,
                peak_mb=ended.peak_mb,
                message="" if ended.killed else last[0][:200],
            )
        data = json.loads(answer.read_text(encoding="utf-8"))
    if METHODS[job.method].module is None:
        data = _from_command(job, data, answer, ended.seconds)
    return _checked(job, data, ended)


def _process(job: Job, folder: Path, answer: Path, root: Path) -> _Ended:
    if METHODS[job.method].module is None:
        line = folder / "line.toml"
        line.write_text(problem_to_toml(job.case.problem()), encoding="utf-8")
        given: dict[str, Any] = {
            "degree": job.case.degree,
            "time-limit": job.time_limit,
            "workers": job.workers,
            "seed": job.seed,
            "json": answer,
        }
        options = [text for key, value in given.items() for text in (f"--{key}", str(value))]
        arguments, text = ["hoistopt", "solve", str(line), "--quiet", *options], ""
    else:
        told = {**asdict(job), "answer": str(answer)}
        arguments, text = ["benchmarks.child"], json.dumps(told) + "\n"
    command = [sys.executable, "-m", *arguments]
    return _timed(command, text, folder, root, job.time_limit + GRACE)


def _timed(command: list[str], text: str, folder: Path, root: Path, limit: float) -> _Ended:
    """Run a process and measure it; its standard input stays open while it runs."""
    errors = folder / "errors.txt"
    killed = threading.Event()
    with errors.open("wb") as stderr:
        began = time.perf_counter()
        process = subprocess.Popen(
            command,
            cwd=root,
            env=environment(root),
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=stderr,
            start_new_session=True,  # Ctrl-C is for the bench, which then ends the process
        )

    def kill() -> None:
        killed.set()
        process.kill()

    assert process.stdin is not None
    memory = Memory(process.pid)
    timer = threading.Timer(limit, kill)
    timer.start()
    try:
        with suppress(BrokenPipeError):
            process.stdin.write(text.encode())
            process.stdin.flush()
        code = process.wait()
        seconds = time.perf_counter() - began
    finally:
        timer.cancel()
        if process.returncode is None:
            process.kill()
            process.wait()
        peak = memory.stop()
        with suppress(BrokenPipeError):
            process.stdin.close()
    told = errors.read_text(encoding="utf-8", errors="replace")
    return _Ended(code, seconds, peak, killed.is_set(), told)


def _from_command(job: Job, data: dict[str, Any], answer: Path, seconds: float) -> dict[str, Any]:
    """What `hoistopt solve --json` wrote, in the form of the other methods' answers."""
    from hoistopt.problem.grid import ticks_per_unit
    from hoistopt.schedule.files import read_moves

    problem = job.case.problem()
    grid = ticks_per_unit(problem)
    bound = data["lower_bound"]
    schedule = None
    if data["moves"]:
        with tempfile.TemporaryDirectory() as folder:
            moves = Path(folder) / "moves.json"
            moves.write_text(json.dumps(data), encoding="utf-8")
            schedule = read_moves(moves, problem)
    return {
        "seconds": seconds,
        "status": data["status"],
        "bound": None if bound is None else round(Fraction(str(bound)) * grid),
        "schedule": schedule,
        "first_seconds": None,
        "best_seconds": None,
    }


def _checked(job: Job, data: dict[str, Any], ended: _Ended) -> Answer:
    """The answer, once the checker has seen its schedule in this process too."""
    if "refused" in data:
        raise Refused(f"{job.method} on {job.case.name}: {data['refused']}")
    schedule, cycle = data["schedule"], None
    if schedule is not None:
        from hoistopt.problem.grid import ticks_per_unit

        problem = job.case.problem()
        made = schedule if isinstance(schedule, Schedule) else schedule_from_json(schedule)
        seen = replay(problem, made)
        if not seen.clean:
            told = "; ".join(map(str, seen.violations[:3]))
            raise Refused(f"{job.method} on {job.case.name}: {told}")
        # A table of moves may come back on a coarser grid; ticks of the problem compare.
        ticks = made.time(made.cycle) * ticks_per_unit(problem)
        assert ticks.denominator == 1
        cycle = int(ticks)
    elif data["status"] in ("optimal", "feasible"):
        raise Refused(f"{job.method} on {job.case.name}: says {data['status']}, has no schedule")
    return Answer(
        status=data["status"],
        cycle=cycle,
        bound=data["bound"],
        seconds=data["seconds"],
        first_seconds=data["first_seconds"] if cycle is not None else None,
        best_seconds=data["best_seconds"] if cycle is not None else None,
        process_seconds=ended.seconds,
        peak_mb=ended.peak_mb,
    )
