"""Run the suite and write its report; see the package."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from hoistopt.planning.best_degree.candidates import degrees_to_try

from ..apart import about, answer_of, keep
from ..lines.cases import Case
from ..machine import cores
from ..suites import GROUPS, REPORTED
from .report import Row, report

RESULTS = Path(__file__).parents[1] / "results" / "chosen"
GRACE = 30.0
"""Seconds after its limit before a process is killed."""
SIZES = {
    "zinc": GROUPS,
    "two-groups": (4,),
    "group-mix": (4,),
    "roomy-dryer": (4,),
    "few-carriers": (4,),
    "hoist-return": (3,),
    "paced": (4,),
}
"""The families with groups of tanks, and how many tanks."""


def cases(seeds: Sequence[int]) -> list[Case]:
    """The lines."""
    every = ((family, size, seed) for seed in seeds for family in SIZES for size in SIZES[family])
    return [Case(family, size, seed) for family, size, seed in every]


def _name(case: Case) -> str:
    return f"{case.family}-{case.tanks}-s{case.seed}"


def main(arguments: Sequence[str] | None = None) -> int:
    """0 when done, 2 when there is nothing to run."""
    options = _parser().parse_args(arguments)
    chosen = [case for case in cases(options.seeds) if options.only in _name(case)]
    if not chosen:
        print(f"error: --only: no line has {options.only} in its name", file=sys.stderr)
        return 2
    rows: list[Row] = []
    for case in chosen:
        for degree in (0, *degrees_to_try(case.problem())):
            rows.append(_one(case, degree, options.time_limit, options.workers))
            print(f"{rows[-1].line} {degree or 'best'}: {rows[-1].per_load}", file=sys.stderr)
    keep(Path(options.out), Row, rows, report(rows, about(options.workers, options.note)))
    return 0


def _seeds(text: str) -> list[int]:
    return [int(part) for part in text.split(",")]


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.chosen", description=__doc__)
    parser.add_argument("--out", metavar="DIR", default=str(RESULTS), help="folder of the results")
    parser.add_argument("--only", metavar="TEXT", default="", help="lines with it in their names")
    parser.add_argument(
        "--seeds", metavar="A,B", type=_seeds, default=list(REPORTED), help="of the lines"
    )
    parser.add_argument(
        "--time-limit", metavar="S", type=float, default=20.0, help="seconds, for every run"
    )
    parser.add_argument(
        "--workers", metavar="N", type=int, default=cores(), help="search threads (default: cores)"
    )
    parser.add_argument("--note", metavar="TEXT", help="what else the report is to say of the run")
    return parser


def _one(case: Case, degree: int, limit: float, workers: int) -> Row:
    """Run in a process of its own; what it says, or that it was killed."""
    which = [case.family, str(case.tanks), str(case.seed), str(degree or "best"), str(limit)]
    found = answer_of("benchmarks.chosen.one", [*which, str(workers)], limit + GRACE)
    if found is None:
        nothing = {"at": None, "per_load": None, "bound": None}
        found = {"status": "killed", "seconds": limit + GRACE, **nothing}
    return Row(_name(case), degree, limit, workers, **found)


if __name__ == "__main__":
    sys.exit(main())
