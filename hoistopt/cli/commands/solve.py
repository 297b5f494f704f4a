"""`hoistopt solve`: find the least cycle time, show it, write it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import degrees
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, Target, targets
from ..searching import add_search, search_of
from ..streams import say, tell

if TYPE_CHECKING:
    from ...planning.result import Result
    from ...problem import Problem


SUMMARY = "Find the least cycle time of a line and prove it."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    search_arguments(parser)
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the steps as CSV ("-": stdout)')
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw the time-way diagram (.png, .svg or .pdf)"
    )
    parser.add_argument(
        "--quiet", action="store_true", help="leave out the tables of steps and dwells"
    )


def search_arguments(parser: argparse.ArgumentParser) -> None:
    """What every command that searches can be told."""
    parser.add_argument(
        "--degree",
        metavar="K",
        default="1",
        help="sets of loads per cycle: 2, or several to compare: 1,2,4 or 1-4 (default 1)",
    )
    add_search(parser, "seconds of search for each degree; the best schedule by then is kept")


def run(options: argparse.Namespace) -> int:
    """Everything the user can have got wrong is found before the search begins."""
    from ...problem import load_problem

    wanted = degrees(options.degree)
    limit, workers, seed = search_of(options)
    outputs = targets([options.file], json=options.json, csv=options.csv, diagram=options.diagram)
    problem = load_problem(options.file)
    try:
        results = search(problem, wanted, limit, workers, seed, options.quiet)
    except InputError as error:
        raise error.in_file(options.file) from None
    except KeyboardInterrupt:
        tell("error: stopped before any schedule was found")
        return STOPPED
    return _finish(problem, results, outputs, options.quiet)


def search(
    problem: Problem,
    wanted: list[int],
    limit: float | None,
    workers: int | None,
    seed: int,
    quiet: bool,
) -> list[Result]:
    """Solve one degree after the other, up to the first that the user stopped."""
    from ...planning.cycle import solve
    from ..progress import Meter

    results: list[Result] = []
    for degree in wanted:
        try:
            with Meter(problem.unit, f"degree {degree}", quiet) as meter:
                result = solve(problem, degree, limit, workers, seed, meter.hear)
        except KeyboardInterrupt:  # before the search proper, which would keep its best
            if results:
                break
            raise
        results.append(result)
        open_ended = result.status in ("feasible", "unknown")
        if open_ended and (limit is None or result.runtime < 0.9 * limit):
            break
    return results


def _finish(
    problem: Problem, results: list[Result], outputs: dict[str, Target], quiet: bool
) -> int:
    from ...analysis.figures.cautions import STANDING
    from ...checker import accepted
    from ...planning.cycle import best_degree
    from ...show.schedule.words import comparison, outcome
    from .. import write

    best = best_degree(results)
    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say
    if best is None:
        write.write_answer(problem, results, outputs)
        shown(*(outcome(problem, result) for result in results))
        left = [target.shown for name, target in outputs.items() if name != "json"]
        shown(*(f"Not written, as there is no schedule: {name}" for name in left), "", STANDING)
        return NO if all(result.status == "infeasible" for result in results) else STOPPED
    assert best.schedule is not None
    seen = accepted(problem, best.schedule, best.replay, made_here=True)

    from ...analysis.figures.report import report
    from ...show.schedule.tables import tables

    told = report(problem, best.schedule, seen, best.status)
    write.write_answer(problem, results, outputs, best, told, seen)
    if not quiet and shown is say:
        shown(tables(told), "")
    if len(results) > 1:
        shown(comparison(problem, results, best), "")
    shown(outcome(problem, best))
    shown(*(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT))
    shown("", *told.cautions)
    return DONE
