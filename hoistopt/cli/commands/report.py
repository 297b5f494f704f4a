"""`hoistopt report`: a schedule as one HTML file for people to open."""

from __future__ import annotations

import argparse
from datetime import date
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import degrees
from ..codes import DONE, NO, STOPPED
from ..outputs import Target, targets
from ..searching import search_of
from ..streams import say, tell
from .solve import search, search_arguments
from .verify import replayed

if TYPE_CHECKING:
    from ...checker import Replay
    from ...planning.result import Result

SUMMARY = "Write a report as one HTML file: figures, tables, diagram and a player."
OUT = "OUT.html"
_OF_SEARCH = ("degree", "time_limit", "workers", "seed")


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "moves",
        metavar="MOVES",
        nargs="?",
        help="table of moves (CSV or JSON); left out, the line is solved",
    )
    parser.add_argument("out", metavar=OUT, help="report to write")
    search_arguments(parser)
    defaults = {name: parser.get_default(name) for name in _OF_SEARCH}
    parser.set_defaults(search_defaults=defaults)


def run(options: argparse.Namespace) -> int:
    """Report on a table of moves, or on the schedule found for the line."""
    from ...show.report.page import check_name

    try:
        check_name(options.out)
    except InputError as error:
        error.field = OUT
        raise
    given = [options.file] if options.moves is None else [options.file, options.moves]
    target = targets(given, **{OUT: options.out})[OUT]
    if options.moves is None:
        return _of_search(options, target)
    for name, default in options.search_defaults.items():
        if getattr(options, name) != default:
            raise InputError(
                "no such option where a table of moves is given",
                field=f"--{name.replace('_', '-')}",
                value=getattr(options, name),
                way_out="Nothing is searched for then; leave out the option, or the table.",
            )
    seen = replayed(options.file, options.moves)
    return _write(target, seen)


def _of_search(options: argparse.Namespace, target: Target) -> int:
    from ...analysis.figures.cautions import STANDING
    from ...checker import accepted
    from ...planning.cycle import best_degree
    from ...problem import load_problem
    from ...show.schedule.words import outcome

    wanted = degrees(options.degree)
    limit, workers, seed = search_of(options)
    problem = load_problem(options.file)
    try:
        results = search(problem, wanted, limit, workers, seed, quiet=False)
    except InputError as error:
        raise error.in_file(options.file) from None
    except KeyboardInterrupt:
        tell("error: stopped before any schedule was found")
        return STOPPED
    best = best_degree(results)
    if best is None:
        say(*(outcome(problem, result) for result in results))
        say(f"Not written, as there is no schedule: {target.shown}", "", STANDING)
        return NO if all(result.status == "infeasible" for result in results) else STOPPED
    assert best.schedule is not None
    seen = accepted(problem, best.schedule, best.replay, made_here=True)
    say(outcome(problem, best))
    return _write(target, seen, best)


def _write(target: Target, seen: Replay, result: Result | None = None) -> int:
    from ...analysis.figures import report
    from ...show.report import report_html

    problem, schedule = seen.problem, seen.schedule
    target.write(report_html(problem, schedule, seen, result, date.today()))
    told = report(problem, schedule, seen, "verified" if result is None else result.status)
    say(f"Wrote {target.shown}", "", *told.cautions)
    return DONE
