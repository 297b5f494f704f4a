"""Run the suite and write its report; see the package."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from ..apart import about, answer_of, keep, unknown_method
from ..machine import cores
from .next_load import SEEDS, Asked, asked
from .one import METHODS
from .report import report
from .tasks import SMOKE, SMOKE_TWO, Task, tasks

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
    tiny = [task for task in (SMOKE, SMOKE_TWO) if task.name == options.only]
    chosen = tiny or tasks()
    chosen = [task for task in chosen if options.only is None or options.only in task.name]
    methods = list(METHODS) if options.methods is None else options.methods.split(",")
    if unknown_method(methods, METHODS):
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
    told = report(chosen, rows, answers, about(options.workers, options.note))
    keep(Path(options.out), Row, rows, told)
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.programmes", description=__doc__)
    parser.add_argument("--out", metavar="DIR", default=str(RESULTS), help="folder of the results")
    parser.add_argument(
        "--only",
        metavar="TEXT",
        help=f'tasks with it in their names; "next"; "{SMOKE.name}" and '
        f'"{SMOKE_TWO.name}": tiny ones',
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
            alone = task.hoists == 1 and (method != "cycle" or task.target == "published")
            if alone or method in ("hoistopt", "fcfs"):
                yield task, method


def _one(task: Task, method: str, limit: float, workers: int) -> dict[str, Any]:
    """Run in a process of its own; what it says, or that it was killed."""
    which = [task.name, method, str(limit), str(workers)]
    found = answer_of("benchmarks.programmes.one", which, limit + GRACE)
    return {"status": "killed", "seconds": limit + GRACE, "cpu": 0.0} if found is None else found


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
