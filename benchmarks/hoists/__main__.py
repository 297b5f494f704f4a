"""Run the suite and write its report; see the package."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ..apart import about, answer_of, keep, unknown_method
from ..machine import cores
from .lines import SMOKE, Case, cases
from .one import METHODS
from .report import Row, report

RESULTS = Path(__file__).parents[1] / "results" / "hoists"
GRACE = 60.0
"""Seconds after its limit before a process is killed; a whole model takes long to build."""


def main(arguments: Sequence[str] | None = None) -> int:
    """0 when done, 1 when the checker refuses a schedule, 2 when there is nothing to run."""
    options = _parser().parse_args(arguments)
    chosen = cases(options.seeds, options.first)
    if options.only == SMOKE:
        chosen = [Case(5, 2, 0, 5.0)]
    elif options.only is not None:
        chosen = [case for case in chosen if options.only in case.name]
    methods = list(METHODS) if options.methods is None else options.methods.split(",")
    if unknown_method(methods, METHODS):
        return 2
    if not chosen:
        print(f"error: --only: no line has {options.only} in its name", file=sys.stderr)
        return 2
    rows: list[Row] = []
    for case in chosen:
        limit = case.limit if options.time_limit is None else options.time_limit
        for method in methods:
            found = _one(case, method, limit, options.workers)
            if "refused" in found:
                print(f"error: {method} on {case.name}: {found['refused']}", file=sys.stderr)
                return 1
            load = round(os.getloadavg()[0], 1)
            rows.append(Row(case.name, method, limit, options.workers, load=load, **found))
            print(f"{case.name} {method}: {rows[-1].status} {rows[-1].cycle}", file=sys.stderr)
    told = report(chosen, rows, about(options.workers, options.note))
    keep(Path(options.out), Row, rows, told)
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.hoists", description=__doc__)
    parser.add_argument("--out", metavar="DIR", default=str(RESULTS), help="folder of the results")
    parser.add_argument(
        "--only", metavar="TEXT", help=f'lines with it in their names; "{SMOKE}": a tiny one'
    )
    parser.add_argument(
        "--seeds", metavar="N", type=int, default=10, help="seeds of each size (default: 10)"
    )
    parser.add_argument("--first", metavar="N", type=int, default=10, help="the first seed")
    parser.add_argument("--methods", metavar="A,B", help=f"only these of {', '.join(METHODS)}")
    parser.add_argument("--time-limit", metavar="S", type=float, help="seconds, for every run")
    parser.add_argument(
        "--workers", metavar="N", type=int, default=cores(), help="search threads (default: cores)"
    )
    parser.add_argument("--note", metavar="TEXT", help="what else the report is to say of the run")
    return parser


def _one(case: Case, method: str, limit: float, workers: int) -> dict[str, Any]:
    """Run in a process of its own; what it says, or that it was killed."""
    which = [str(case.tanks), str(case.hoists), str(case.seed), method, str(limit), str(workers)]
    found = answer_of("benchmarks.hoists.one", which, limit + GRACE)
    if found is None:
        nothing = {"cycle": None, "bound": None, "first": None}
        return {"status": "killed", "seconds": limit + GRACE, **nothing}
    return found


if __name__ == "__main__":
    sys.exit(main())
