"""`hoistopt adherence`: a log against the schedule or programme that was planned."""

from __future__ import annotations

import argparse

from ...arguments import option_named, time_from_0
from ...ending import answered
from ...mapping import add_mapping, words_typed
from ...outputs import Outputs, add_tables
from ...taking import add_moves, the_moves

SUMMARY = "Hold a log against a plan: where the machine deviates, and which step costs most."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(parser, "the planned moves, of a cycle or a programme (CSV or JSON)")
    parser.add_argument(
        "logs", metavar="LOG", nargs="+", help="files of the event log (CSV, gzip, Parquet)"
    )
    parser.add_argument(
        "--state", metavar="STATE", help="state of the line with which a programme begins"
    )
    parser.add_argument(
        "--late",
        metavar="S",
        help="what a start may lose against the start before it, in the unit of FILE, before it "
        "counts as late (default: a fifth of the mean time from start to start)",
    )
    add_mapping(parser)
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    add_tables(parser, "the logged moves against the planned ones")
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw lateness and what steps cost (.png, .svg or .pdf)"
    )


def run(options: argparse.Namespace) -> int:
    """Order, starts, costs and drift of the moves in a log."""
    late = time_from_0(options.late, "--late")
    words = words_typed(options)
    moves = the_moves(options)
    read = [options.file, moves, *options.logs]
    read += [path for path in (options.state, options.mapping) if path is not None]
    outputs = Outputs(
        read,
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )
    from ....app.machine.adherence import adherence

    with option_named("late"):
        return answered(
            lambda: adherence(
                options.file, moves, options.logs, words, state=options.state, tolerance=late
            ),
            outputs,
        )
