"""`hoistopt order`: the least cycle time of a given order of moves."""

from __future__ import annotations

import argparse

from ..ending import finish
from ..outputs import Outputs, add_tables
from ..searching import add_search, effort_typed, running
from ..taking import add_moves, add_words, the_moves

SUMMARY = "Find the least cycle time of a given order of moves, or why it cannot run."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_words(parser)
    add_moves(
        parser,
        "table of moves (CSV, JSON or .xlsx); its times only set the order and may be left out",
    )
    add_search(
        parser,
        "seconds in all, most of them for the best order to compare with (default 60)",
        "60",
    )
    parser.add_argument(
        "--alone", action="store_true", help="do not look for the best order to compare with"
    )
    parser.add_argument("--json", metavar="OUT", help='write the answer as JSON ("-": stdout)')
    add_tables(parser, "the steps")
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw the time-way diagram (.png, .svg or .pdf)"
    )


def run(options: argparse.Namespace) -> int:
    """Steps and dwell times at the order's least cycle time, or what is wrong with it."""
    effort_typed(options)
    moves = the_moves(options)
    outputs = Outputs(
        [options.file, moves],
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )

    from ...app.order import order
    from ..progress import Watch

    with running(options, Watch("looking for")) as effort:
        answer = order(options.file, moves, not options.alone, effort)
    return finish(answer, outputs)
