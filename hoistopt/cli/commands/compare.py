"""`hoistopt compare`: two schedules, or two versions of a line, side by side."""

from __future__ import annotations

import argparse

from ...base.errors import InputError, printable
from ..arguments import degrees, label_of
from ..codes import NO, STOPPED
from ..ending import close, finish, refuse
from ..outputs import Outputs, add_tables
from ..searching import add_search, effort_typed, running
from ..streams import say
from ..taking import add_take, moves_typed

SUMMARY = "Compare two schedules, or two versions of a line: order, tanks, dwells, output."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument(
        "file", metavar="FILE", help="problem file before the change (TOML or .xlsx)"
    )
    parser.add_argument(
        "other", metavar="OTHER", nargs="?", help="problem file after it (default: FILE again)"
    )
    parser.add_argument(
        "--before",
        metavar="MOVES",
        help="moves on FILE (CSV, JSON or .xlsx); left out, it is solved",
    )
    parser.add_argument(
        "--after",
        metavar="MOVES",
        help="moves on OTHER (CSV, JSON or .xlsx); left out, it is solved",
    )
    add_take(parser)
    parser.add_argument(
        "--degree",
        metavar="K",
        help="sets of loads per cycle to solve for (default: that of the moves given, or else "
        "the best of FILE)",
    )
    add_search(parser, "seconds of search for each side")
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    add_tables(parser, "the figures side by side")


def run(options: argparse.Namespace) -> int:
    """Both sides are read before the first is solved."""
    from ...app.compare import NoSchedule, Version, compare
    from ...checker import Refused
    from ...problem import load_problem
    from ..progress import Meter

    wanted = [] if options.degree is None else degrees(options.degree)
    if len(wanted) > 1:
        raise InputError("one degree for both sides", field="--degree", value=options.degree)
    degree = wanted[0] if wanted else None
    effort_typed(options)
    other = options.file if options.other is None else options.other
    if options.other is None and options.before is None and options.after is None:
        raise InputError(
            "two things to compare",
            field="OTHER",
            way_out="Name a second problem file, or moves with --before or --after.",
        )
    read = [options.file, other, *(m for m in (options.before, options.after) if m is not None)]
    outputs = Outputs(read, json=options.json, csv=options.csv, workbook=options.workbook)
    unit = load_problem(options.file).unit
    try:
        with running(options, Meter(unit, label_of(wanted or "best"))) as effort:
            answer = compare(
                Version(options.file, moves_typed(options, "before")),
                Version(other, moves_typed(options, "after")),
                degree,
                effort,
            )
    except Refused as refused:
        if refused.made_here:
            raise
        return refuse(refused, Outputs([]))  # a comparison writes no findings of one table
    if isinstance(answer, NoSchedule):
        name, solved = printable(str(answer.line)), answer.solved
        told = [f"{name}: {sentence}" for sentence in solved.sentences()]
        close(say, (), told, solved.cautions(), solved.problem.note)
        return NO if answer.solved.outcome == "no" else STOPPED
    return finish(answer, outputs)
