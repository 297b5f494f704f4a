"""`hoistopt fit`: the hoist's times from a log or a stopwatch list."""

from __future__ import annotations

import argparse

from ...arguments import degrees_or_best, label_of, option_named
from ...ending import finish
from ...mapping import add_mapping, words_typed
from ...outputs import Outputs, add_tables
from ...searching import add_search, effort_typed, running

SUMMARY = "Fit the hoist's times to a log or a stopwatch list, and say how far the file is off."

EPILOG = """a stopwatch list is a table (CSV) with the columns
  from, to, loaded (yes or no), time         whole moves, lift to lower, and empty travel
  from, to, lift, travel, lower              parts of moves, any of them in place of time
in the unit of FILE, or the one the header states: time [s]. Any other SOURCE is a log.
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.epilog = EPILOG
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    parser.add_argument(
        "sources",
        metavar="SOURCE",
        nargs="+",
        help="stopwatch list, or the files of a controller's event log (CSV, gzip, Parquet)",
    )
    parser.add_argument(
        "--out", metavar="NEW", help="write FILE with the fitted times, its comments kept"
    )
    parser.add_argument(
        "--hoist", metavar="NAME", help="which hoist was timed, where the line has several"
    )
    parser.add_argument(
        "--plan",
        metavar="MOVES",
        help="table of the cycle that the log follows, so that the waits in it are not taken "
        "for times of the hoist (CSV, JSON or .xlsx)",
    )
    parser.add_argument(
        "--cycle",
        action="store_true",
        help="solve FILE as it is and as it would be changed, to show what that changes",
    )
    parser.add_argument(
        "--degree", metavar="K", default="best", help="sets of loads per cycle to solve for"
    )
    add_search(parser, "seconds for both searches of --cycle together (default 60)", "60")
    add_mapping(parser)
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    add_tables(parser, "what was timed")
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw how far times are off (.png, .svg or .pdf)"
    )


def run(options: argparse.Namespace) -> int:
    """Everything the user can have got wrong is found before the search begins."""
    from ....problem import load_problem
    from ...progress import Meter

    wanted = degrees_or_best(options.degree)
    effort_typed(options)
    words = words_typed(options)
    read = [options.file, *options.sources, *([options.plan] if options.plan else [])]
    outputs = Outputs(
        [*read, *([] if options.mapping is None else [options.mapping])],
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
        out=options.out,
    )
    unit = load_problem(options.file).unit
    from ....app.machine.fit import fit

    with option_named("hoist"), running(options, Meter(unit, label_of(wanted))) as effort:
        answer = fit(
            options.file,
            options.sources,
            words,
            hoist=options.hoist,
            plan=options.plan,
            cycle=options.cycle,
            degrees=wanted,
            effort=effort,
        )
    return finish(answer, outputs)
