"""Run the suite and write its report; see the package."""

from __future__ import annotations

import argparse
import csv
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from hoistopt.base.files import write_atomically

from ..machine import cores, machine, memory
from .next_load import SEEDS, Asked, asked
from .one import METHODS
from .report import report
from .tasks import SMOKE, Task, tasks

RESULTS = Path(__file__).parents[1] / "results" / "programmes"
GRACE = 60.0
"""Seconds after its limit before a process is killed; a plain model takes long to build."""


@dataclass(frozen=True)
class Row:
    """One run. Times in the line's unit, `seconds`, `first` and the like in seconds."""

    task: str
    method: str
    limit: float
    workers: int
    status: str
    moves: int | None
    finish: float | None
    bound: float | None
    late: float | None
    seconds: float
    cpu: float
    first: float | None
    first_cpu: float | None
    load: float


def main(arguments: Sequence[str] | None = None) -> int:
    """0 when done, 1 when the checker refuses a programme."""
    options = _parser().parse_args(arguments)
    chosen = [SMOKE] if options.only == SMOKE.name else tasks()
    chosen = [task for task in chosen if options.only is None or options.only in task.name]
    methods = list(METHODS) if options.methods is None else options.methods.split(",")
    if unknown := [name for name in methods if name not in METHODS]:
        print(f"error: --methods: {unknown[0]} is none of {', '.join(METHODS)}", file=sys.stderr)
        return 2
    rows: list[Row] = []
    for task, method in _runs(chosen, methods):
        limit = task.limit if options.time_limit is None else options.time_limit
        found = _one(task, method, limit, options.workers)
        if "refused" in found:
            print(f"error: {method} on {task.name}: {found['refused']}", file=sys.stderr)
            return 1
        rows.append(_row(task, method, limit, options.workers, found))
        print(f"{task.name} {method}: {rows[-1].status} {rows[-1].finish}", file=sys.stderr)
    answers: list[Asked] = []
    if options.only is None or options.only in "next":
        answers = [asked(seed) for seed in SEEDS]
    about = {
        "machine": f"{machine()}, {memory()}",
        "workers": str(options.workers),
        "run": datetime.now(UTC).isoformat(timespec="minutes"),
    }
    if options.note:
        about["note"] = options.note
    out = Path(options.out)
    out.mkdir(parents=True, exist_ok=True)
    with (out / "runs.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, [field.name for field in fields(Row)])
        writer.writeheader()
        writer.writerows(asdict(row) for row in rows)
    write_atomically(out / "results.md", report(chosen, rows, answers, about))
    print(f"Wrote {out / 'results.md'}")
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.programmes", description=__doc__)
    parser.add_argument("--out", metavar="DIR", default=str(RESULTS), help="folder of the results")
    parser.add_argument(
        "--only",
        metavar="TEXT",
        help=f'tasks with it in their names; "next"; "{SMOKE.name}": a tiny one',
    )
    parser.add_argument("--methods", metavar="A,B", help=f"only these of {', '.join(METHODS)}")
    parser.add_argument("--time-limit", metavar="S", type=float, help="seconds, for every run")
    parser.add_argument(
        "--workers", metavar="N", type=int, default=cores(), help="search threads (default: cores)"
    )
    parser.add_argument("--note", metavar="TEXT", help="what else the report is to say of the run")
    return parser


def _runs(chosen: Sequence[Task], methods: Sequence[str]) -> Iterator[tuple[Task, str]]:
    """Task by task, so that runs to be compared lie close in time."""
    for task in chosen:
        for method in methods:
            if method != "cycle" or task.target == "published":
                yield task, method


def _one(task: Task, method: str, limit: float, workers: int) -> dict[str, Any]:
    """Run in a process of its own; what it says, or that it was killed."""
    with tempfile.TemporaryDirectory(prefix="hoistopt-bench-") as folder:
        answer = Path(folder) / "answer.json"
        command = [sys.executable, "-m", "benchmarks.programmes.one", task.name, method]
        command += [str(limit), str(workers), str(answer)]
        try:
            subprocess.run(command, check=True, timeout=limit + GRACE)
        except subprocess.TimeoutExpired:
            return {"status": "killed", "seconds": limit + GRACE, "cpu": 0.0}
        found: dict[str, Any] = json.loads(answer.read_text(encoding="utf-8"))
        return found


def _row(task: Task, method: str, limit: float, workers: int, found: dict[str, Any]) -> Row:
    known = {field.name for field in fields(Row)} - {"task", "method", "limit", "workers", "load"}
    data = {name: found.get(name) for name in known}
    return Row(
        task=task.name,
        method=method,
        limit=limit,
        workers=workers,
        load=round(os.getloadavg()[0], 1),
        **data,  # type: ignore[arg-type]
    )


if __name__ == "__main__":
    sys.exit(main())
